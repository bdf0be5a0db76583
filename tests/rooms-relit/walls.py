"""The wall behind the sitter: its colours and its relief.

Each kind returns albedo (rows, columns, 3) and height (rows, columns) in px. `head` is the sitter's head height in px,
`px` how many px of this picture one px of a picture 1500 px long is.
"""
from dataclasses import dataclass

import numpy as np

from light import F, linear, smooth_step
from texture import cloud, normals, pixels, slopes
from wall_things import hang_something

BRICKS = 97  # different bricks before they repeat
BOARDS = 64


@dataclass
class Plot:
    """What a wall is built on."""
    rng: np.random.Generator
    shape: tuple  # rows, columns
    head: float
    px: float
    base: np.ndarray  # (3,) paint

    def painted(self):
        return np.ones(self.shape + (3,), F) * self.base

    def cloud(self, lump, octaves, gain=0.5, stretch=(1, 1)):
        """Noise (rows, columns) whose lumps are given for a picture 1500 px long."""
        return cloud(self.rng, self.shape, lump * self.px, octaves, gain, stretch)


def plain(w):
    albedo = w.painted() * (1 + 0.02 * w.cloud(300, 3))[..., None]
    return albedo, w.cloud(500, 2) * 2 * w.px


def plaster(w):
    height = w.cloud(w.rng.uniform(20, 60), 5, 0.6) * w.rng.uniform(0.6, 1.4) + w.cloud(260, 2) * 5
    return w.painted() * (1 + 0.05 * w.cloud(200, 5, 0.7))[..., None], height * w.px


def brick(w):
    rng = w.rng
    x, y = pixels(*w.shape)
    high = rng.uniform(0.14, 0.24) * w.head
    long = high * rng.uniform(2.4, 3.4)
    joint = high * 0.12
    wobble = w.cloud(60, 3) * joint * 0.25
    row = np.floor((y + wobble) / high)
    shift = (row % 2) * long / 2
    in_x, in_y = (x + wobble + shift) % long, (y + wobble) % high
    edge = np.minimum(np.minimum(in_x, long - in_x), np.minimum(in_y, high - in_y))
    stone = smooth_step(joint * 0.4, joint * 1.0, edge)
    number = (row * 37 + np.floor((x + shift) / long)).astype(int) % BRICKS
    white = rng.random() < 0.35
    colour = linear(np.array([0.7, 0.68, 0.65]) if white else np.array([0.52, 0.3, 0.24]))
    each = rng.uniform(0.75, 1.25, BRICKS).astype(F)
    mortar = linear(np.array([0.55, 0.53, 0.5]))
    albedo = (stone[..., None] * colour * each[number][..., None]
              + (1 - stone[..., None]) * mortar * (1.2 if white else 1)).astype(F)
    albedo *= (1 + 0.1 * w.cloud(10, 3))[..., None]
    return albedo, stone * joint * 0.8 + w.cloud(8, 3) * 0.5 * w.px


def curtain(w):
    x, _ = pixels(*w.shape)
    fold = w.rng.uniform(0.25, 0.6) * w.head
    phase = w.cloud(500, 2, stretch=(1, 4)) * 1.6
    height = np.sin(x * 2 * np.pi / fold + phase) + 0.4 * np.sin(x * 2 * np.pi / fold * 2.3 + 2 * phase)
    return w.painted() * 0.8, height * fold * 0.13


def black_cloth(w):
    albedo = np.ones(w.shape + (3,), F) * linear(w.rng.uniform(0.12, 0.2)) * np.array([1, 0.98, 1.02], F)
    return albedo, (w.cloud(220, 3, stretch=(1, 2)) * 10 + w.cloud(40, 2, stretch=(1, 3)) * 0.8) * w.px


def boards(w):
    rng = w.rng
    x, y = pixels(*w.shape)
    wide = rng.uniform(0.3, 0.6) * w.head
    level = rng.random() < 0.5
    across = y if level else x
    number = np.floor(across / wide).astype(int) % BOARDS
    edge = np.minimum(across % wide, wide - across % wide)
    grain = w.cloud(9, 4, 0.6, stretch=(12, 1) if level else (1, 12))
    wood = linear(np.array([0.62, 0.45, 0.3]) * rng.uniform(0.5, 1.2))
    each = rng.uniform(0.75, 1.2, BOARDS).astype(F)
    albedo = wood * (each[number] * (1 + 0.16 * grain))[..., None]
    board = smooth_step(1 * w.px, 4 * w.px, edge)
    return albedo * (0.15 + 0.85 * board)[..., None], (board * 2 + grain * 0.25) * w.px


KINDS = {'plain': plain, 'plaster': plaster, 'brick': brick, 'curtain': curtain, 'blackcloth': black_cloth,
         'boards': boards}


def new_wall(rng, shape, head, px, kind):
    """A wall's albedo and normals, both (rows, columns, 3), and its note."""
    base = linear(np.clip(rng.uniform(0.35, 0.85) + rng.uniform(-0.07, 0.07, 3), 0.05, 0.95))
    albedo, height = KINDS[kind](Plot(rng, shape, head, px, base))
    slope_x, slope_y = slopes(height.astype(F))
    thing = hang_something(rng, albedo, slope_x, slope_y, head)
    return np.clip(albedo, 0.006, 0.9).astype(F), normals(slope_x, slope_y).astype(F), f'{kind}+{thing}'
