"""Walls: even, patterned by a formula, or tiled from scikit-image's public-domain pictures."""
import numpy as np
from scipy import ndimage as ndi
from skimage import data

from chance import cloud
from linear import F, linear


def tiled(picture, h, w, rng):
    """A picture (rows, columns) at some scale, mirrored so that no seam shows, of mean 1."""
    t = linear(picture)
    t = t / t.mean()
    t = ndi.zoom(t, rng.uniform(0.8, 1.6), order=1)
    t = np.concatenate([t, t[::-1]], 0)
    t = np.concatenate([t, t[:, ::-1]], 1)
    return np.tile(t, (h // t.shape[0] + 1, w // t.shape[1] + 1))[:h, :w]


def curtain(h, w, rng):
    x = np.arange(w, dtype=F) / w
    y = np.arange(h, dtype=F)[:, None] / h
    n = rng.uniform(9, 22)
    ph = 2 * np.pi * n * (x + 0.012 * np.sin(2 * np.pi * (3 * x + rng.random())) + 0.01 * y * np.sin(17 * x))
    return 0.9 + 0.5 * np.sin(ph) + 0.15 * np.sin(2 * ph + 1)


def boards(h, w, rng):
    board = np.arange(w) // int(w / rng.uniform(7, 14))
    tone = rng.uniform(0.7, 1.3, board.max() + 1)[board]
    gap = np.r_[0, np.diff(board)] > 0
    tone = tone * (1 - 0.8 * ndi.gaussian_filter1d(gap.astype(float) * 3, 1.2).clip(0, 1))
    return tone[None, :] * (1 + 0.1 * cloud(rng, (h, w), 20))


def texture(kind, h, w, rng):
    """(rows, columns), about 1."""
    if kind in ('brick', 'grass', 'gravel'):
        return tiled(getattr(data, kind)(), h, w, rng)
    if kind == 'plaster':
        return 1 + 0.12 * cloud(rng, (h, w), 40) + 0.08 * cloud(rng, (h, w), 3, 1)
    if kind == 'curtain':
        return curtain(h, w, rng)
    if kind == 'boards':
        return boards(h, w, rng)
    return np.ones((h, w), F)


def wall_albedo(room, rng):
    """(rows, columns, 3)."""
    level = rng.uniform(0.05, 0.3)
    tex = texture(room.wall, room.h, room.w, rng)
    tint = 1 + rng.uniform(-0.15, 0.15, 3)
    return (np.clip(tex, 0.1, 3)[..., None] * level * tint).astype(F)
