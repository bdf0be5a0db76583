"""A trail's own light: a lamp led along strokes, by a hand that isn't even, seen through a lens that isn't clean."""
from dataclasses import dataclass

import numpy as np
from scipy import ndimage as ndi
from scipy.signal import oaconvolve

from chance import pick, wobble
from linear import F, ev, luminance
from strokes import strokes

TRAIL_RGB = [(1, 1, 1), (1, 1, 1), (1, 0.85, 0.65), (0.7, 0.85, 1), (1, 0.45, 0.15), (0.3, 0.6, 1), (0.3, 1, 0.45),
             (1, 0.3, 0.6)]


@dataclass
class Trail:
    kind: str  # one of strokes.KINDS
    ev: float  # at a straight stroke's middle
    width: float  # of the frame's
    uneven: float  # the hand's pace, EV
    rgb: np.ndarray  # (3,)
    second: np.ndarray | None  # (3,) another colour for every second stroke
    dx: float  # px from where it was meant
    dy: float


def new_trail(kind, dx, dy, rng):
    """A trail of a kind, drawn by somebody who sees that the head was shifted by dx, dy px, more or less."""
    trail = Trail(kind, ev=rng.uniform(-1.5, 5), width=rng.uniform(0.003, 0.015), uneven=rng.uniform(0.05, 0.35),
                  rgb=pick(rng, TRAIL_RGB), second=pick(rng, TRAIL_RGB) if rng.random() < 0.25 else None,
                  dx=dx * rng.uniform(0, 1), dy=dy * rng.uniform(0, 1))
    if kind == 'ten':  # ten bright and broad ones would fill the frame
        trail.ev, trail.width = min(trail.ev, 3), min(trail.width, 0.007)
    if kind == 'cross':  # no doubt whether it crosses
        trail.width = max(trail.width, 0.006)
    return trail


def trail_layer(trail, room, mask, rng):
    """A trail's linear light (rows, columns, 3) with its halo; one that is behind is hidden by the sitter's mask."""
    own = paint(trail, room, rng)
    if trail.kind == 'behind':
        own *= 1 - mask[..., None]
    bloom, veil = 10 ** rng.uniform(-3.6, -2.4), rng.uniform(0, 0.003)
    halo = bloom * wide_blur(own, 2.5 * trail.width * room.w + 3)
    return own * (1 - bloom - veil) + halo + veil * wide_blur(own, 0.07 * room.w)


def paint(trail, room, rng):
    """The sharp trail, linear light (rows, columns, 3)."""
    h, w = room.h, room.w
    out = np.zeros((h, w, 3), F)
    radius = max(trail.width * w / 2, 1.2)
    k = int(np.ceil(radius)) + 1
    yy, xx = np.mgrid[-k:k + 1, -k:k + 1]
    disc = np.clip(radius + 0.5 - np.hypot(xx, yy), 0, 1)
    disc = disc / disc.sum() * (np.pi * radius / 2)  # a straight stroke of 1 a pixel peaks at 1
    groups = [[], []]
    for i, s in enumerate(strokes(trail.kind, room, rng)):
        groups[i % 2 if trail.second is not None else 0].append(s)
    for group, rgb in zip(groups, (trail.rgb, trail.second)):
        if not group:
            continue
        acc = np.zeros(h * w)
        for s in group:
            lead(acc, s * [room.rx, room.ry] + [room.cx + trail.dx, room.cy + trail.dy], trail.uneven, h, w, rng)
        line = np.clip(oaconvolve(acc.reshape(h, w), disc, mode='same'), 0, None).astype(F)
        line[line < 1e-5] = 0  # what the convolution's rounding leaves everywhere
        out += (line * ev(trail.ev))[..., None] * (rgb / luminance(rgb))
    return out


def lead(acc, p, uneven, h, w, rng):
    """Adds a stroke's points p (n, 2) px to acc (rows * columns), about 1 for each pixel of its length."""
    step = np.hypot(*np.diff(p, axis=0).T)
    dist = np.r_[0, np.cumsum(step)]
    n = max(2, int(dist[-1] / 0.35))
    at = np.linspace(0, dist[-1], n)
    x, y = np.interp(at, dist, p[:, 0]), np.interp(at, dist, p[:, 1])
    pace = wobble(rng, np.linspace(0, 1, n), 1, uneven)  # a hand is not even: EV
    wt = 2.0**np.clip(pace, -0.8, 0.8) * dist[-1] / n
    x0, y0 = np.floor(x).astype(int), np.floor(y).astype(int)
    fx, fy = x - x0, y - y0
    for ox, oy, f in ((0, 0, (1 - fx) * (1 - fy)), (1, 0, fx * (1 - fy)), (0, 1, (1 - fx) * fy), (1, 1, fx * fy)):
        ok = (x0 + ox >= 0) & (x0 + ox < w) & (y0 + oy >= 0) & (y0 + oy < h)
        acc += np.bincount((y0 + oy)[ok] * w + (x0 + ox)[ok], (wt * f)[ok], h * w)


def wide_blur(img, sigma):
    """A Gaussian of sigma px over (rows, columns, 3), done on a smaller picture: nothing fine is left anyway."""
    step = max(1, int(sigma / 4))
    h, w, _ = img.shape
    hh, ww = -(-h // step) * step, -(-w // step) * step
    pad = np.pad(img, ((0, hh - h), (0, ww - w), (0, 0)))
    small = pad.reshape(hh // step, step, ww // step, step, 3).mean((1, 3))
    small = ndi.gaussian_filter(small, (sigma / step, sigma / step, 0))
    return ndi.zoom(small, (step, step, 1), order=1)[:h, :w].astype(F)
