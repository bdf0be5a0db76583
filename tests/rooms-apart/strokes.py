"""The ways a lamp is led: point lists (n, 2) about the face's centre, in units of its ellipse (rx, ry).

A way of drawing gets the generator, a ring's usual half axes sx, sy, and how much room is above the head, `up`, in ry;
it gives a list of strokes.
"""
import numpy as np

from chance import wobble


def strokes(kind, room, rng):
    up = (room.cy / room.ry) - 1
    sx, sy = rng.uniform(1.6, 2.4), rng.uniform(1.45, min(1.9, up + 0.9))
    return KINDS[kind](rng, sx, sy, up)


def line(x, y):
    return np.stack([x, y], -1)


def ring(rng, turns, sx, sy, at=(0, 0), size=0.05, start=None, drift=0.0):
    """One stroke around the head; turns may be part of one, `drift` makes it a spiral."""
    t = np.linspace(0, 1, int(3000 * max(1, turns)))
    start = rng.uniform(0, 6.28) if start is None else start
    th = start + rng.choice([-1, 1]) * 2 * np.pi * turns * t
    k = 1 + np.clip(wobble(rng, t, turns, size), -2 * size, 3 * size) + drift * (t - 0.5)
    return line(at[0] + sx * k * np.cos(th), at[1] + sy * k * np.sin(th))


def loop(rng, sx, sy, up):
    return [ring(rng, rng.uniform(1.0, 1.15), sx, sy)]


def two(rng, sx, sy, up):
    return [ring(rng, 1.05, sx, sy), ring(rng, 1.05, sx * 1.25, sy * rng.uniform(1.0, 1.15), (0, rng.uniform(-.1, .1)))]


def ten(rng, sx, sy, up):
    return [ring(rng, 1.0, sx * rng.uniform(0.95, 1.3), sy * rng.uniform(0.95, 1.15), rng.uniform(-0.1, 0.1, 2), 0.03)
            for _ in range(10)]


def spiral(rng, sx, sy, up):
    return [ring(rng, rng.uniform(2.2, 3.3), sx * 1.1, sy * 1.02, size=0.02, drift=0.25)]


def arch(rng, sx, sy, up):
    th = np.pi + rng.uniform(-0.3, 0.3)
    t = np.linspace(th, th + rng.uniform(2.5, 3.5), 3000)
    k = 1 + wobble(rng, np.linspace(0, 1, 3000), 1, 0.03)
    return [line(sx * k * np.cos(t), sy * k * np.sin(t))]


def high(rng, sx, sy, up):
    """A bow over the head."""
    gap = rng.uniform(0.5, max(0.6, min(1.6, up - 0.5)))
    t = np.linspace(-1, 1, 3000)
    bow = rng.uniform(0.1, 0.4)
    return [line(rng.uniform(0.9, 1.8) * t + rng.uniform(-0.2, 0.2),
                 -1 - gap - bow * (1 - t * t) + wobble(rng, t, 1, 0.03))]


def aside(rng, sx, sy, up):
    """A ring that isn't about the head."""
    s = rng.choice([-1, 1])
    return [ring(rng, 1.05, sx * 1.15, sy, (s * rng.uniform(0.35, 0.9), rng.uniform(-0.1, 0.1)))]


def beside(rng, sx, sy, up):
    """A stroke wholly at one side."""
    s = rng.choice([-1, 1])
    t = np.linspace(-1, 1, 3000)
    return [line(s * (1.8 + 0.5 * np.cos(t * 1.5)) + wobble(rng, t, 1, 0.04), 1.3 * t + rng.uniform(-.3, .2))]


def dashed(rng, sx, sy, up):
    p = ring(rng, 1.0, sx, sy, size=0.03)
    n = int(rng.integers(7, 16))
    which, part = np.arange(len(p)) * n // len(p), (np.arange(len(p)) * n / len(p)) % 1
    return [p[(which == i) & (part < 0.6)] for i in range(n)]


def eight(rng, sx, sy, up):
    t = np.linspace(0, 2 * np.pi, 5000)
    return [line(2.4 * np.sin(t), -0.1 + 1.25 * np.sin(2 * t + 0.3))]


def crown(rng, sx, sy, up):
    """A zigzag over the head."""
    n = int(rng.integers(4, 8))
    t = np.linspace(-1, 1, 4000)
    saw = np.abs(((t + 1) / 2 * n) % 1 - 0.5) * 2
    return [line(1.7 * t, -1.3 + 0.9 * t * t - 0.45 * saw)]


def rays(rng, sx, sy, up):
    """Single strokes outwards."""
    n = int(rng.integers(7, 14))
    out = []
    for i in range(n):
        th = 2 * np.pi * (i + rng.uniform(-0.2, 0.2)) / n
        r = np.linspace(1.35, rng.uniform(1.8, 2.4), 600)
        bend = th + rng.uniform(-0.2, 0.2) * (r - 1.3)
        out.append(line(r * np.cos(bend) * 1.1, r * np.sin(bend)))
    return out


def cross(rng, sx, sy, up):
    """What must not be: light over the face."""
    how = rng.integers(3)
    if how == 0:  # a ring set too low or too small, its edge over the face
        return [ring(rng, 1.05, sx, sy, (rng.uniform(-0.3, 0.3), sy * rng.choice([0.8, -0.6])))]
    t = np.linspace(-1, 1, 4000)
    if how == 1:  # a stroke through it, then around
        y = rng.uniform(-0.5, 0.5)
        cut = line(2.0 * t, y + 0.25 * np.sin(3 * t + rng.uniform(0, 6)) + rng.uniform(-0.3, 0.3) * t)
        return [cut, ring(rng, 0.7, sx, sy)]
    # steeply from above to the chest
    return [line(rng.uniform(-0.4, 0.4) + 0.3 * np.sin(2 * t + rng.uniform(0, 6)), 1.7 * t), ring(rng, 0.5, sx, sy)]


def behind(rng, sx, sy, up):
    """A stroke that the sitter hides, then around."""
    t = np.linspace(-1, 1, 4000)
    y = rng.uniform(-0.5, 0.6)
    return [line(2.3 * t, y + 0.2 * np.sin(2.5 * t + rng.uniform(0, 6))), ring(rng, 0.6, sx, sy, start=-2.8)]


KINDS = {way.__name__: way for way in (loop, two, ten, spiral, arch, high, aside, beside, dashed, eight, crown, rays,
                                       cross, behind)}
