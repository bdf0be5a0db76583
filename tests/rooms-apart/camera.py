"""The camera: lens, sensor, tone curve, JPEG."""
import numpy as np
from PIL import Image
from scipy import ndimage as ndi

from linear import F, GREY


def lens(room, img):
    """Linear light (rows, columns, 3) as it arrives at the sensor."""
    return ndi.gaussian_filter(img, (room.blur, room.blur, 0)) * room.vignette


def encode(x):
    """Linear light -> sRGB, both 0..1."""
    return np.where(x <= 0.0031308, 12.92 * x, 1.055 * np.maximum(x, 1e-9) ** (1 / 2.4) - 0.055)


def tone(room, x):
    """Linear light -> code values 0..1, through the room's tone curve."""
    x = np.clip(x, 0, None)
    kind, k = room.curve
    if kind == 'film':  # a shoulder instead of a hard end; middle grey stays
        g = -np.log1p(-GREY * 0.9) / GREY
        x = (1 - np.exp(-x * g)) / 0.9
        return encode(np.clip(x, 0, 1))
    x = np.clip(x, 0, 1)
    if kind == 'gamma':
        return x ** (1 / k)
    v = encode(x)
    if kind == 's':
        return v * (1 - k) + k * v * v * (3 - 2 * v)
    if kind == 'lift':
        return k + (1 - k) * v
    return v


def shoot(room, light, rng, path):
    """Linear light (rows, columns, 3) before the lens -> JPEG."""
    img = np.maximum(lens(room, light), 0) * room.well
    img = img + rng.standard_normal(img.shape, dtype=F) * np.sqrt(img + room.read ** 2)
    img = img / room.well
    y, x, level = room.hot
    img[y, x] += level * (1 + 0.08 * rng.standard_normal((len(y), 1)))
    v = tone(room, img)
    # half a step of noise: a plain rounding would show bands in what is nearly black
    v = np.clip(v * 255 + rng.random(v.shape, dtype=F) - 0.5, 0, 255).round().astype(np.uint8)
    exif = Image.Exif()
    exif.get_ifd(0x8769).update({0x829A: (8, 1), 0x829D: (8, 1), 0x8827: 100})  # 8 s, f/8, ISO 100
    Image.fromarray(v).save(path, quality=room.quality, subsampling=room.chroma, exif=exif)
