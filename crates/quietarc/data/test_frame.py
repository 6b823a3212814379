"""Draws the test frame of the demo: soft stars under an invented arc, one lamp on the shore. Needs Pillow.

    python3 test_frame.py test_frame.composed.jpg
"""

import math
import random
import sys

from PIL import Image, TiffImagePlugin

WIDTH, HEIGHT = 840, 560
SHORE = 490
STAR_SIGMA_PX = 1.9
NOISE = 0.006


def encode(light):
    light = min(max(light, 0.0), 1.0)
    value = 12.92 * light if light <= 0.0031308 else 1.055 * light ** (1 / 2.4) - 0.055
    return round(255 * value)


def main(path):
    chance = random.Random(20260314)
    stars = {}
    for _ in range(110):
        cx, cy = chance.uniform(10, WIDTH - 10), chance.uniform(8, SHORE - 30)
        peak = 0.06 + 0.5 * chance.random() ** 4
        reach = math.ceil(4 * STAR_SIGMA_PX)
        for y in range(int(cy) - reach, int(cy) + reach + 1):
            for x in range(int(cx) - reach, int(cx) + reach + 1):
                r2 = (x - cx) ** 2 + (y - cy) ** 2
                stars[x, y] = stars.get((x, y), 0.0) + peak * math.exp(-0.5 * r2 / STAR_SIGMA_PX**2)
    pixels = []
    for y in range(HEIGHT):
        for x in range(WIDTH):
            skyline = SHORE - 22 * math.sin(x / 130) - 8 * math.sin(x / 37)
            if y > skyline:
                light = [0.004, 0.004, 0.005]
                if (x - 610) ** 2 + (y - 515) ** 2 < 16:
                    light = [1.2, 1.2, 1.2]
            else:
                arc = math.exp(-0.5 * ((y - 360 + ((x - 420) / 60) ** 2) / 55) ** 2)
                red = math.exp(-0.5 * ((y - 200) / 90) ** 2)
                star = stars.get((x, y), 0.0)
                light = [0.008 + 0.004 * red + star, 0.009 + 0.03 * arc + star, 0.011 + 0.006 * arc + star]
            pixels.append(tuple(encode(c + chance.gauss(0, NOISE) * math.sqrt(0.3 + 10 * c)) for c in light))
    image = Image.new("RGB", (WIDTH, HEIGHT))
    image.putdata(pixels)
    exif = Image.Exif()
    exif[0x010F], exif[0x0110] = "Invented", "Invented camera"
    details = exif.get_ifd(0x8769)
    rational = TiffImagePlugin.IFDRational
    details.update({
        0x829A: rational(4, 1), 0x829D: rational(18, 10), 0x8827: 1600, 0x920A: rational(20, 1),
        0x9003: "2026:03:14 22:41:07", 0x9011: "+01:00", 0xA405: 20,
    })
    image.save(path, quality=88, exif=exif)


main(sys.argv[1])
