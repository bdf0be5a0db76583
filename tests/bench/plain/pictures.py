"""Pictures, what light their codes stand for, and where the face and the sitter are on them.

A picture is an array (rows, columns, 3) of code values 0..1, a plane (rows, columns). Light is linear, 1 at full scale.
"""
import numpy as np
from PIL import Image, ImageOps
from skimage import transform

LONG_EDGE = 1500
GREY = 0.18
LUMA = np.array([0.2126, 0.7152, 0.0722])


def load(path):
    """Decodes a JPEG, upright: code values 0..1 (rows, columns, 3), LONG_EDGE pixels at the most; and its own size."""
    # scikit-image reads JPEG through Pillow too, but turns it upright in some versions only.
    with Image.open(path) as file:
        picture = np.asarray(ImageOps.exif_transpose(file).convert("RGB"))
    rows, columns = picture.shape[:2]
    longest = max(rows, columns)
    if longest % LONG_EDGE == 0 and min(rows, columns) % (longest // LONG_EDGE) == 0:
        factor = longest // LONG_EDGE
        small = transform.downscale_local_mean(picture, (factor, factor, 1)) / 255
    else:
        scale = min(1, LONG_EDGE / longest)
        small = transform.resize(picture, (round(rows * scale), round(columns * scale)), anti_aliasing=True)
    return small, (columns, rows)


def srgb_to_linear(code):
    """IEC 61966-2-1, code values and light both 0..1."""
    return np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)


class Curve:
    """A camera's tone curve: an S of some strength over the code values; 0 is plain sRGB. Takes codes of any shape."""

    seen = np.linspace(0, 1, 2048)

    def __init__(self, strength):
        self.strength = strength
        self.codes = self.seen + strength * (self.seen**2 * (3 - 2 * self.seen) - self.seen)
        self.table = srgb_to_linear(self.seen)

    def light(self, code):
        return np.interp(code, self.codes, self.table)

    def slope(self, code):
        """Light that a step of one in 255 makes."""
        return np.maximum(1e-7, self.light(code + 0.5 / 255) - self.light(code - 0.5 / 255))


PLAIN = Curve(0)
CURVES = [Curve(strength) for strength in np.arange(-0.2, 0.91, 0.1)]
USUAL = Curve(0.3)


def level(light):
    """One amount of light in EV around middle grey; None for no light."""
    return float(np.log2(light / GREY)) if light > 0 else None


class Face:
    """An ellipse in pixels."""

    def __init__(self, cx, cy, rx, ry):
        self.cx, self.cy, self.rx, self.ry = cx, cy, rx, ry

    def moved(self, dx, dy):
        return Face(self.cx + dx, self.cy + dy, self.rx, self.ry)

    def radii(self, shape):
        """Distance from the centre in radii, for every pixel (rows, columns)."""
        y, x = np.ogrid[: shape[0], : shape[1]]
        return np.hypot((x - self.cx) / self.rx, (y - self.cy) / self.ry)

    def window(self, shape):
        """Slices of rows and columns: the head and a margin to move in."""
        reach = 1.8 * max(self.rx, self.ry)
        rows = slice(max(0, int(self.cy - reach)), min(shape[0], int(self.cy + reach)))
        return rows, slice(max(0, int(self.cx - reach)), min(shape[1], int(self.cx + reach)))


def sitter_at(face, shape, reach):
    """Head and body as a mask: an ellipse of `reach` radii, and what spreads from the neck downwards."""
    y, x = np.mgrid[: shape[0], : shape[1]]
    below = y - (face.cy + 0.8 * face.ry)
    half = np.minimum(2.6 * face.ry, face.rx + 2.2 * below) + (reach - 1.2) * face.ry
    return (face.radii(shape) <= reach) | ((below >= 0) & (np.abs(x - face.cx) <= half))
