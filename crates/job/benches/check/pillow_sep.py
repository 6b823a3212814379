"""Part of a check by Pillow and sep: linear light, clipping, stars with centre, width and flux.

Prints the seconds of processor time it took, reading the file included and starting Python not.
"""

import sys
import time

import numpy
import sep
from PIL import Image

Image.MAX_IMAGE_PIXELS = None
start = time.process_time()
rgb = numpy.asarray(Image.open(sys.argv[1]).convert("RGB"))
full = [(rgb[..., channel] >= 254).mean() for channel in range(3)]
# light of every byte (IEC 61966-2-1), weighed as luminance (ITU-R BT.709)
byte = numpy.arange(256) / 255.0
light = numpy.where(byte <= 0.04045, byte / 12.92, ((byte + 0.055) / 1.055) ** 2.4).astype(numpy.float32)
weighed = [numpy.float32(weight) * light for weight in (0.2126, 0.7152, 0.0722)]
plane = sum(weighed[channel][rgb[..., channel]] for channel in range(3))
background = sep.Background(plane)
level = plane - background
stars = sep.extract(level, 5.0, err=background.rms())
x, y, _ = sep.winpos(level, stars["x"], stars["y"], stars["a"])
radius, _ = sep.flux_radius(level, x, y, 6.0 * stars["a"], 0.5)
flux, _, _ = sep.sum_circle(level, x, y, 5.0, bkgann=(7.0, 11.0))
print(time.process_time() - start)
print(len(stars), "stars", file=sys.stderr)
