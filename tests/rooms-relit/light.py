"""Linear light: its numbers' type, middle grey, stops, and the colours of lamps.

Light is linear throughout, 1 at full scale; stops count from middle grey. Colours are (..., 3): red, green, blue.
"""
import numpy as np

F = np.float32
GREY = 0.18
LUMA = (0.2126, 0.7152, 0.0722)


def linear(srgb):
    """sRGB values 0..1, of any shape, as linear light 0..1."""
    v = np.asarray(srgb, F)
    return np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4).astype(F)


def luminance(rgb):
    """(..., 3) -> (...)."""
    return rgb[..., 0] * F(LUMA[0]) + rgb[..., 1] * F(LUMA[1]) + rgb[..., 2] * F(LUMA[2])


def stops(light):
    """Linear light as stops from middle grey."""
    return float(np.log2(max(float(light), 1e-12) / GREY))


def smooth_step(lo, hi, x):
    """0 up to lo, 1 from hi on, an S between; falls where lo > hi."""
    t = np.clip((x - lo) / (hi - lo), 0, 1)
    return t * t * (3 - 2 * t)


def colour_of(rgb):
    """A colour (3,) brought to luminance 1."""
    c = np.asarray(rgb, F)
    return c / max(1e-6, float(c @ np.array(LUMA)))


def kelvin(temperature):
    """The colour (3,), luminance 1, of a glowing body of so many kelvin, 2000..10000: a usual approximation."""
    t = temperature / 100.0
    red = 255 if t <= 66 else 329.7 * (t - 60) ** -0.1332
    green = 99.47 * np.log(t) - 161.12 if t <= 66 else 288.12 * (t - 60) ** -0.0755
    blue = 255 if t >= 66 else (0 if t <= 19 else 138.52 * np.log(t - 10) - 305.04)
    c = linear(np.clip([red, green, blue], 8, 255) / 255.0)
    return (c / (c @ LUMA)).astype(F)
