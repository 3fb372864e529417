"""What scikit-image 0.26, OpenCV 5, colour-science 0.4.7 and pillow-heif 1.8.1 make of the same pictures and colours: JSON
comes in on standard input, JSON goes out. The textures are the CC0 ones that scikit-image carries (brick, grass, gravel) and its camera picture.
"""

import json
import os
import sys
import warnings

warnings.filterwarnings("ignore")
import cv2
import numpy as np
import skimage
from skimage import color, data, feature

import colour
import pillow_heif
from PIL import Image

asked = json.load(sys.stdin)
NAMES = ("brick", "grass", "gravel", "camera")


def texture(levels, steps):
    # Each step of ours as scikit-image's distance and angle, which it rounds back to the same step.
    tables = []
    for right, down in steps:
        distance = np.hypot(right, down)
        table = feature.graycomatrix(np.array(levels, np.uint8), [distance], [np.arctan2(down, right)], levels=asked["levels"], symmetric=True)
        tables.append(table[:, :, 0, 0].astype(float))
    table = sum(tables)
    table = (table / table.sum())[:, :, None, None]
    names = ("contrast", "dissimilarity", "homogeneity", "energy", "correlation")
    return {name: float(feature.graycoprops(table, name)[0, 0]) for name in names}


pictures = {name: getattr(data, name)() for name in NAMES}
folder = asked["folder"]
for name, picture in pictures.items():
    cv2.imwrite(os.path.join(folder, f"{name}.png"), picture)
# A HEIC that another coder wrote, with time, place and a turn, and what that library decodes of it.
pillow_heif.register_heif_opener()
astronaut = Image.fromarray(data.astronaut()[:384])
exif = Image.Exif()
exif[0x8769] = {0x9003: "2026:11:24 10:41:00", 0x9011: "+01:00"}
exif[0x8825] = {1: "N", 2: (47.0, 30.0, 0.0), 3: "W", 4: (19.0, 15.0, 0.0)}
for name, turn in (("plain", 1), ("turned", 6)):
    exif[0x0112] = turn
    astronaut.save(os.path.join(folder, f"{name}.heic"), quality=90, exif=exif.tobytes())
    with Image.open(os.path.join(folder, f"{name}.heic")) as back:
        back.convert("RGB").save(os.path.join(folder, f"{name}-decoded.png"))
rgb = np.array(asked["rgb"], np.uint8)
lab = np.array(asked["lab"], float)
answers = {
    "laplacian": {name: float(cv2.Laplacian(picture, cv2.CV_64F, ksize=1, borderType=cv2.BORDER_REFLECT_101).var()) for name, picture in pictures.items()},
    "texture": {name: texture(picture.astype(int) * asked["levels"] // 256, asked["steps"]) for name, picture in pictures.items()},
    "lab": color.rgb2lab(rgb[None])[0].tolist(),
    "ciede2000": [float(one) for one in color.deltaE_ciede2000(lab[:, 0], lab[:, 1])],
    "ciede2000_colour": [float(one) for one in colour.delta_E(lab[:, 0], lab[:, 1], method="CIE 2000")],
    "version": skimage.__version__,
}
json.dump(answers, sys.stdout)
