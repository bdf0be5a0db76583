"""Linear light: its numbers' type, middle grey, stops, and steps between two amounts of it.

Light is linear throughout, 1 at full scale; stops ("EV") count from middle grey.
"""
import numpy as np

F = np.float32
GREY = 0.18
LUMA = np.array([0.2126, 0.7152, 0.0722], F)


def luminance(rgb):
    """(..., 3) linear RGB -> (...)."""
    return rgb @ LUMA


def ev(x):
    """Stops around middle grey -> linear light."""
    return GREY * 2.0**x


def smooth(lo, hi, x):
    """0 up to lo, 1 from hi on, an S between; falls where lo > hi."""
    t = np.clip((x - lo) / (hi - lo), 0, 1)
    return t * t * (3 - 2 * t)


def linear(srgb):
    """sRGB code values 0..255 -> linear light."""
    s = srgb.astype(F) / 255
    return np.where(s <= 0.04045, s / 12.92, ((s + 0.055) / 1.055) ** 2.4).astype(F)
