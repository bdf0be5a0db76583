"""Reference results of the image operations that src/frame uses.

Run: /usr/bin/python3 tests/outside/image-operations.py > tests/outside/image-operations.json
Wants Debian's python3-skimage, python3-scipy and python3-opencv. Pictures: scikit-image's own (public domain and CC0).
"""
import json

import cv2
import numpy as np
import scipy
import skimage
from scipy import ndimage, optimize, stats
from skimage import data, measure, registration

out = {"made_with": {"skimage": skimage.__version__, "opencv": cv2.__version__, "scipy": scipy.__version__}}

# Luminance in EV around middle grey: sRGB decoded by its published formula, counted by numpy.
code = data.astronaut().astype(np.float64) / 255
linear = np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)
luminance = linear @ np.array([0.2126, 0.7152, 0.0722])
with np.errstate(divide="ignore"):
    ev = np.log2(luminance / 0.18)
edges = np.concatenate(([-np.inf], np.arange(-11.75, 2.3, 0.25), [np.inf]))
out["astronaut_histogram_quarter_ev"] = np.histogram(ev, bins=edges)[0].tolist()

grey = {name: getattr(data, name)() for name in ("camera", "coins", "moon")}
out["laplacian_variance"] = {
    name: float(cv2.Laplacian(picture, cv2.CV_64F, ksize=1, borderType=cv2.BORDER_REFLECT_101).var())
    for name, picture in grey.items()
}
out["coins_over_107"] = {
    str(neighbours): {
        "components": int(labels.max()),
        "largest_area": int(np.bincount(labels.ravel())[1:].max()),
        "area": int((labels > 0).sum()),
    }
    for neighbours, labels in (
        (4, measure.label(grey["coins"] > 107, connectivity=1)),
        (8, measure.label(grey["coins"] > 107, connectivity=2)),
    )
}

# How far the second picture lies to the right of and below the first (skimage gives the shift back, rows first).
shifts = []
for down, right in ((5, -3), (-40, 17), (0, 0)):
    moved = np.roll(grey["camera"], (down, right), axis=(0, 1))
    back = registration.phase_cross_correlation(grey["camera"], moved)[0]
    shifts.append({"down": down, "right": right, "skimage": {"dx": -float(back[1]), "dy": -float(back[0])}})
out["phase_correlation"] = shifts

rng = np.random.default_rng(7)
out["nnls"] = []
for rows, columns in ((12, 2), (20, 3), (30, 4), (40, 6)):
    for _ in range(6):
        a = rng.normal(size=(rows, columns))
        b = rng.normal(size=rows)
        x, _ = optimize.nnls(a, b)
        out["nnls"].append({"gram": (a.T @ a).ravel().tolist(), "moment": (a.T @ b).tolist(), "x": x.tolist()})

values = [10, 11, 9, 10, 12, 10, 11, 9, 10, 10, 250, 255]
out["mad"] = {
    "values": values,
    "median": float(np.median(values)),
    "sigma": float(stats.median_abs_deviation(values) * 1.4826),
    "quantiles": {str(q): float(np.quantile(values, q)) for q in (0, 0.1, 0.25, 0.5, 0.9, 1)},
}

print(json.dumps(out, indent=1))
