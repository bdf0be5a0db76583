"""The ways a hand with a lamp goes round a sitter, behind them, or by mistake across their face.

A stroke is (n, 2) places x, y in px. Each kind returns its strokes, or its strokes and for each a mask (n,) of what
lies behind the sitter. Sizes are in half widths and half heights of the head.
"""
from dataclasses import dataclass

import numpy as np

from texture import wander

STEPS = 1500
CROSSINGS = ['forehead', 'cheek', 'chin', 'eyes']
# how far below the head's centre a crossing lies, and how far below that the centre of a loop
CROSSING_Y = {'forehead': -0.45, 'cheek': 0.25, 'chin': 0.75, 'eyes': -0.03}
LOOP_Y = {'forehead': 0.9, 'eyes': 1.25, 'cheek': -1.1, 'chin': -0.8}
TAU = 2 * np.pi


@dataclass
class Hand:
    rng: np.random.Generator
    cx: float  # px
    cy: float
    rx: float
    ry: float
    columns: int
    rows: int
    scale: float  # of ways round the head
    t: np.ndarray  # (STEPS,) 0..1
    start: float  # angle, radians
    sense: int  # 1 or -1
    radius: float  # of a loop

    def round(self, angle, radius, wide=1.0):
        """A stroke round the head; angle in radians, radius (n,)."""
        return np.stack([self.cx + radius * np.cos(angle) * self.rx * wide,
                         self.cy + radius * np.sin(angle) * self.ry], 1)

    def at(self, across, down):
        """A stroke through places in half widths and heights from the head's centre."""
        return np.stack([self.cx + self.rx * across, self.cy + self.ry * down], 1)

    def wobble(self, size, knots=6):
        """Factors (STEPS,) about 1."""
        return 1 + size * wander(self.rng, STEPS, knots)

    def waves(self, fewest, most):
        """That many waves, (STEPS,) between -1 and 1."""
        return np.sin(TAU * self.rng.uniform(fewest, most) * self.t + self.start)


def loop(h):
    turns = h.rng.uniform(0.96, 1.1)
    radius = h.radius * h.wobble(0.022, 4)
    return [h.round(h.start + h.sense * TAU * turns * h.t, radius, h.rng.uniform(1, 1.25))]


def loops(h):
    turns = h.rng.integers(2, 5)
    return [h.round(h.start + h.sense * TAU * turns * h.t, h.radius * h.wobble(0.05, 4 * turns), 1.15)]


def spiral(h):
    turns = h.rng.uniform(2, 4)
    return [h.round(h.start + h.sense * TAU * turns * h.t, (1.35 + 0.9 * h.t) * h.scale * h.wobble(0.02), 1.1)]


def arch(h):
    half = h.rng.uniform(0.35, 0.55) * np.pi
    return [h.round(-np.pi / 2 + h.sense * (2 * h.t - 1) * half, h.radius * h.wobble(0.03, 4), 1.15)]


def wave(h):
    y = h.cy + h.rng.choice([-1.9, -1.6, 1.7]) * h.ry * h.scale
    x = h.columns * (h.rng.uniform(0.04, 0.15) + h.rng.uniform(0.7, 0.85) * h.t)
    return [np.stack([x, y + h.rng.uniform(0.12, 0.3) * h.ry * h.waves(3, 7) * h.wobble(0.3)], 1)]


def star(h):
    corner = np.arange(11)
    angle = -np.pi / 2 + corner * TAU / 10
    v = np.stack([np.cos(angle), np.sin(angle)], 1) * np.where(corner % 2, 1.45, 2.35)[:, None] * h.scale
    v += h.rng.normal(0, 0.06, v.shape)
    v[10] = v[0]
    return [h.at(1.15 * np.interp(h.t * 10, corner, v[:, 0]), np.interp(h.t * 10, corner, v[:, 1]))]


def heart(h):
    a = h.start + TAU * h.t * h.sense
    x = 16 * np.sin(a) ** 3
    y = -(13 * np.cos(a) - 5 * np.cos(2 * a) - 2 * np.cos(3 * a) - np.cos(4 * a))
    k = h.rng.uniform(1.9, 2.5) * h.scale / 15
    return [h.at(1.15 * k * x, k * y + h.rng.choice([0.1, -0.3, -0.55, -0.65]))]


def eight(h):
    a = h.start + TAU * h.t
    above, side = h.rng.choice([0, 1]), h.rng.choice([-1, 1])
    if above:
        return [h.at(2.6 * h.scale * np.sin(a), -1.9 * h.scale + 0.4 * np.sin(2 * a))]
    return [h.at(side * 2.4 * h.scale + 0.6 * np.sin(2 * a), 1.2 * np.sin(a))]


def zigzag(h):
    count, side = h.rng.integers(5, 12), h.rng.choice(['left', 'right', 'top'])
    corner = np.arange(count + 1)
    along = np.linspace(0, 1, count + 1) - 0.5
    out = np.where(corner % 2, 1, -1) * h.rng.uniform(0.6, 1.2, count + 1)
    if side == 'top':
        v = h.at(along * 5, -1.75 * h.scale + 0.25 * out)
    else:
        v = h.at((-1 if side == 'left' else 1) * 2.3 * h.scale + 0.5 * out, along * 3)
    return [np.stack([np.interp(h.t * count, corner, v[:, i]) for i in (0, 1)], 1)]


def behind(h):
    down = h.rng.uniform(-0.6, 0.5)
    across = (2 * h.t - 1) * h.sense * h.rng.uniform(2.2, 3.5)
    return [h.at(across, down + 0.35 * h.waves(0.3, 2) * h.wobble(0.1))], [np.ones(STEPS, bool)]


def tilted_halo(h):
    """A ring round the head in space: its far half hidden by the head, its near half low before the chest."""
    a = h.start + TAU * h.t
    tilt = h.rng.uniform(-0.3, 0.3)
    x = 2.1 * h.scale * np.cos(a) * h.rx
    y = h.cy - 0.55 * h.ry if h.rng.random() < 0.5 else h.cy + 0.2 * h.ry
    far = np.sin(a) < 0
    down = np.where(far, y + np.sin(a) * h.ry * 0.38, y + np.sin(a) * (1.25 * h.ry + (h.cy - y) + 0.15 * h.ry))
    return [np.stack([h.cx + x, down + tilt * x], 1)], [far]


def high(h):
    x = h.cx + (2 * h.t - 1) * h.rng.uniform(0.8, 2) * h.rx
    y = max(h.cy - h.rng.uniform(1.9, 2.6) * h.ry * h.scale, 0.03 * h.rows)
    return [np.stack([x, y + 0.18 * h.ry * h.waves(0.5, 3)], 1)]


def aside(h):
    start = h.sense * h.rng.uniform(2.3, 3)
    across = start + h.sense * h.t * h.rng.uniform(0.3, 1.2) + 0.2 * wander(h.rng, STEPS, 5)
    return [h.at(across, (2 * h.t - 1) * h.rng.uniform(0.8, 1.8))]


def radial(h):
    count = h.rng.integers(6, 15)
    rays = []
    for i in range(count):
        angle = h.start + TAU * (i + h.rng.uniform(-0.2, 0.2)) / count
        radius = np.linspace(h.rng.uniform(1.3, 1.5), h.rng.uniform(1.8, 2.5), 200) * h.scale
        rays.append(h.round(angle, radius, 1.15))
    return rays


def writing(h):
    side, letters = h.rng.choice([-1, 1]), h.rng.integers(3, 7)
    wide = h.rng.uniform(1.6, 2.4)
    left = side * 1.5 + (0 if side > 0 else -wide)
    turn = TAU * letters * h.t
    down = h.rng.uniform(-1.2, 0.6)
    tall = 0.32 * np.cos(turn) * (0.6 + 0.4 * wander(h.rng, STEPS, letters))
    return [h.at(left + wide * h.t + 0.22 * np.sin(turn + h.start),
                 down + tall + 0.15 * 0.32 * wander(h.rng, STEPS, 3 * letters))]


def crossing(h, kind):
    y, slope = CROSSING_Y[kind], h.rng.uniform(-0.35, 0.35)
    x = (2 * h.t - 1) * h.rng.uniform(1.6, 2.8)
    straight = h.at(h.sense * x, y + slope * x * 0.6 + 0.12 * h.waves(0.4, 1.5))
    if h.rng.random() < 0.5:  # rather a loop that came too close
        a = h.start + TAU * h.t
        return [h.at(1.7 * np.cos(a), y + LOOP_Y[kind] + abs(LOOP_Y[kind]) * np.sin(a))]
    return [straight]


def scribble(h):
    across = 1.3 * h.waves(1.5, 3) * h.wobble(0.1)
    return [h.at(across, 1.1 * np.sin(TAU * h.rng.uniform(1, 2.5) * h.t) * h.wobble(0.1))]


WAYS = {'loop': loop, 'loops': loops, 'spiral': spiral, 'arch': arch, 'wave': wave, 'star': star, 'heart': heart,
        'eight': eight, 'zigzag': zigzag, 'behind': behind, 'high': high, 'aside': aside, 'radial': radial,
        'writing': writing, 'halo-tilted': tilted_halo}
KINDS = list(WAYS)


def new_path(rng, kind, room, centre, scale=1.0):
    """Strokes and masks of a trail of that kind round centre (x, y in px)."""
    s = room.sitter
    hand = Hand(rng, *centre, s.rx, s.ry, room.columns, room.rows, scale, np.linspace(0, 1, STEPS),
                start=rng.uniform(0, TAU), sense=rng.choice([-1, 1]), radius=rng.uniform(1.5, 2.1) * scale)
    if kind in CROSSINGS:
        made = crossing(hand, kind)
    else:
        made = scribble(hand) if kind == 'scribble-over' else WAYS[kind](hand)
    strokes, hidden = made if isinstance(made, tuple) else (made, [np.zeros(len(one), bool) for one in made])
    return [unsteady(rng, one, s.head_height) for one in strokes], hidden


def unsteady(rng, stroke, head_height):
    """A stroke with the small errors of a hand."""
    length = np.hypot(*np.diff(stroke, axis=0).T).sum() / head_height
    knots = int(np.clip(length * 1.5, 1, 14))
    error = np.stack([wander(rng, len(stroke), knots), wander(rng, len(stroke), knots)], 1)
    return stroke + error * min(0.014, 0.01 * length) * head_height
