"""What is left to chance.

Every room has its own generator, drawn from in one order: another draw in between makes other rooms.
"""
import numpy as np
from scipy import ndimage as ndi

from linear import F


def pick(rng, rows):
    """One of the rows, as an array."""
    return np.array(rows[rng.integers(len(rows))], F)


def cloud(rng, shape, sigma, octaves=3):
    """Smooth noise (rows, columns) of unit spread, its coarsest lumps sigma pixels wide."""
    total = np.zeros(shape, F)
    for o in range(octaves):
        s = max(sigma / 2**o, 0.8)
        step = max(1, int(s / 2))  # coarse noise is drawn small and enlarged: blurring it at full size takes seconds
        small = rng.standard_normal((shape[0] // step + 4, shape[1] // step + 4)).astype(F)
        small = ndi.gaussian_filter(small, s / step)
        small /= small.std() + 1e-9
        big = ndi.zoom(small, step, order=1)[: shape[0], : shape[1]] if step > 1 else small[: shape[0], : shape[1]]
        total += big / 2**o
    return total / total.std()


def wobble(rng, t, turns, size, top=5):
    """A few slow waves along t (0..1 over that many turns), about size high: a hand that isn't steady."""
    out = np.zeros_like(t)
    for k in range(1, top):
        out += rng.normal(0, size / k) * np.sin(2 * np.pi * k * t * max(1, turns) * 0.7 + rng.uniform(0, 6.28))
    return out
