"""A room and its camera: what stays the same over all of its pictures, but for the sitter, the wall and the lights."""
from dataclasses import dataclass

import numpy as np

from linear import F, ev

HEADS = ['astronaut', 'drawn', 'drawn', 'astronaut-suit', 'cat', 'drawn', 'camera']
WALLS = ['plain', 'plaster', 'brick', 'curtain', 'gravel', 'boards', 'grass', 'plaster']
CURVES = [('srgb', 0), ('s', 0.3), ('film', 0), ('s', 0.6), ('gamma', 2.2), ('lift', 0.012), ('s', 0.45),
          ('gamma', 2.0), ('srgb', 0), ('gamma', 2.5)]


@dataclass
class Room:
    w: int  # the frame, px
    h: int
    cx: float  # the face ellipse, px
    cy: float
    rx: float
    ry: float
    head: str
    wall: str
    depth: float  # of the wall behind the sitter, h
    curve: tuple  # the camera's tone curve: its kind, and how much of it
    blur: float  # the lens's, sigma in px
    well: float  # electrons at full scale
    read: float  # the sensor's noise without light, electrons
    quality: int  # of the JPEG
    chroma: int  # its subsampling, as Pillow counts it
    glow: np.ndarray  # (2,) to where the dark room's light grows: right, down
    glow_rgb: np.ndarray  # (3,)
    x: np.ndarray = None  # (rows, columns) px
    y: np.ndarray = None
    u: np.ndarray = None  # the same in h from the face's centre
    v: np.ndarray = None
    vignette: np.ndarray = None  # (rows, columns, 1) what the lens lets through
    hot: tuple = None  # hot pixels: rows (n,), columns (n,), linear light (n, 3)
    dark_gain: float = 1  # of the dark room's light

    def inside(self, cx, cy, turn, k=1.0):
        """Which pixels (rows, columns) lie in the face ellipse about cx, cy px, turned by degrees, k times its size."""
        u, v = self.x - cx, self.y - cy
        t = np.deg2rad(turn)
        c, s = np.cos(t), np.sin(t)
        a, b = c * u + s * v, -s * u + c * v
        return (a / (self.rx * k)) ** 2 + (b / (self.ry * k)) ** 2 <= 1


def new_room(number, size, rng, curve=None):
    """The room of a number (from 1), its long edge size px; with another tone curve than its own, if one is given."""
    shape = [(3, 2), (2, 3), (4, 3), (3, 2), (4, 5)][rng.integers(5)]
    wide = shape[0] >= shape[1]
    w, h = (size, round(size * shape[1] / shape[0])) if wide else (round(size * shape[0] / shape[1]), size)
    ry = rng.uniform(0.12, 0.19) * min(w, h) * (1.0 if w >= h else 1.1)
    i = number - 1
    room = Room(w=w, h=h, cx=w * rng.uniform(0.4, 0.6), cy=h * rng.uniform(0.42, 0.52), ry=ry,
                rx=ry * rng.uniform(0.72, 0.84), head=HEADS[i % len(HEADS)], wall=WALLS[(i * 3 + 1) % len(WALLS)],
                curve=curve or CURVES[(i * 7 + 2) % len(CURVES)], depth=rng.uniform(2.5, 14),
                blur=rng.uniform(0.4, 0.9), well=rng.uniform(12000, 50000), read=rng.uniform(3, 8),
                quality=int(rng.integers(80, 96)), chroma=int(rng.choice([0, 2, 2])), glow=rng.uniform(-1, 1, 2),
                glow_rgb=1 + rng.uniform(-.25, .25, 3))
    room.y, room.x = np.mgrid[0:h, 0:w].astype(F)
    room.u, room.v = (room.x - room.cx) / ry, (room.y - room.cy) / ry
    r2 = ((room.x - w / 2) ** 2 + (room.y - h / 2) ** 2) / (w * w + h * h) * 4
    room.vignette = (1 - rng.uniform(0.08, 0.45) * r2 ** rng.uniform(0.9, 1.4))[..., None].astype(F)
    nhot = int(rng.integers(30, 220) * (size / 1500) ** 2) + 5
    # most of a hot pixel's light is of one colour: the sensor's filter over it
    tint = np.where(np.eye(3)[rng.integers(0, 3, nhot)] > 0, 1.0, rng.uniform(0, 0.35, (nhot, 3)))
    room.hot = (rng.integers(0, h, nhot), rng.integers(0, w, nhot), ev(rng.uniform(-5, 2, (nhot, 1))) * tint)
    return room
