"""Stars of a picture by Pillow and sep; prints the seconds of processor time it took, reading included."""

import sys
import time

import numpy
import sep
from PIL import Image

Image.MAX_IMAGE_PIXELS = None
start = time.process_time()
grey = numpy.asarray(Image.open(sys.argv[1]).convert("L"), dtype=numpy.float32)
background = sep.Background(grey)
level = grey - background
stars = sep.extract(level, 5.0, err=background.globalrms)
width = 6.0 * stars["a"]
radius, _ = sep.flux_radius(level, stars["x"], stars["y"], width, 0.5)
flux, _, _ = sep.sum_circle(level, stars["x"], stars["y"], 3.0)
print(time.process_time() - start)
print(len(stars), "stars", file=sys.stderr)
