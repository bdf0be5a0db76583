"""The flashes: where they stand, their pools of light and their colours.

Places are x, y, z in px: x right, y down, z to the camera.
"""
from dataclasses import dataclass

import numpy as np

from light import F, colour_of, kelvin, linear, smooth_step
from texture import unit

# from where they shine: degrees aside and degrees up, each from..to
SLOTS = {'left': ((-75, -40), (-15, 30)), 'right': ((40, 75), (-15, 30)), 'upleft': ((-55, -25), (30, 60)),
         'upright': ((25, 55), (30, 60)), 'top': ((-12, 12), (55, 75)), 'rimleft': ((-160, -125), (0, 45)),
         'rimright': ((125, 160), (0, 45)), 'below': ((-20, 20), (-55, -35)), 'front': ((-18, 18), (0, 25))}
SETS = [('left', 'right', 'top'), ('left', 'rimright', 'upright'), ('right', 'rimleft', 'upleft'),
        ('upleft', 'rimright', 'right'), ('upright', 'left', 'rimleft'), ('right', 'top', 'rimleft'),
        ('left', 'upright', 'rimright'), ('below', 'upleft', 'rimright'), ('front', 'rimleft', 'rimright'),
        ('right', 'upleft', 'below')]
GELS = np.array([[0.68, 0.82, 1], [1, 0.66, 0.68], [0.82, 1, 0.88], [0.84, 0.72, 1], [1, 0.8, 0.5]])


@dataclass
class Pool:
    """A cone of light from a place."""
    axis: np.ndarray  # (3,) unit vector
    angle: float  # from the axis to the middle of its edge, radians
    soft: float  # half width of the edge, in such angles
    stray: float  # share of the light beside the pool

    def light(self, dx, dy, dz, distance):
        """0..1 for points (any shape) that lie dx, dy, dz from the lamp."""
        along = (dx * self.axis[0] + dy * self.axis[1] + dz * self.axis[2]) / distance
        off = np.arccos(np.clip(along, -1, 1))
        edge = smooth_step(self.angle * (1 + self.soft), self.angle * (1 - self.soft), off)
        return (edge * (1 - 0.25 * np.clip(off / self.angle, 0, 1) ** 2) + self.stray).astype(F)


@dataclass
class Lamp:
    id: str
    slot: str
    place: np.ndarray  # (3,)
    head: np.ndarray  # (3,) the centre of the head it was set up for
    pool: Pool
    size: float  # penumbra in px per px between what casts the shadow and where it falls
    colour: np.ndarray  # (3,) luminance 1, after the white balance
    bounce: float  # light that comes back from the room, everywhere
    note: str
    power: float = 1.0
    wall_share: float = 1.0  # how much of its light reaches the wall
    hit: Pool = None  # a second pool, on the wall
    on_wall: np.ndarray = None  # (rows, columns, 3) light off the wall, without the sitter's shadow

    @property
    def behind(self):
        return self.slot.startswith('rim')


def new_lamp(rng, ident, slot, sitter, wall_z, white):
    """A lamp of power 1 somewhere in that slot; white: colour (3,) of what the camera shows as white."""
    head_height = sitter.head_height
    aside, up = np.radians(rng.uniform(*SLOTS[slot][0])), np.radians(rng.uniform(*SLOTS[slot][1]))
    distance = rng.uniform(2.6, 4.5) * head_height
    way = np.array([np.sin(aside) * np.cos(up), -np.sin(up), np.cos(aside) * np.cos(up)])
    if way[2] < 0:
        way, distance = before_wall(way, distance, head_height, wall_z)
    head = np.array([sitter.cx, sitter.cy, 0.0])
    place = head + way * distance
    aim = head + np.array([rng.normal(0, 0.12), rng.normal(0.05, 0.15), 0.1]) * head_height
    pool = rng.choice([rng.uniform(0.6, 0.95), rng.uniform(0.95, 1.6), rng.uniform(1.8, 3)], p=[0.45, 0.4, 0.15])
    warm = rng.random() < 0.65
    colour = colour_of(lamp_colour(rng, warm) / white)
    soft, stray = rng.uniform(0.15, 0.5), 10 ** rng.uniform(-3.2, -1.9)
    cone = Pool(unit(aim - place), np.arctan(pool * head_height * 0.75 / distance), soft, stray)
    return Lamp(ident, slot, place, head, cone, size=rng.uniform(0.03, 0.14), colour=colour.astype(F),
                bounce=10 ** rng.uniform(-4.2, -2.8), note=f"{slot} pool={pool:.2f} {'warm' if warm else 'cool/gel'}")


def before_wall(way, distance, head_height, wall_z):
    """A way and distance from behind the sitter that keep the lamp before the wall."""
    distance = min(distance, 0.8 * abs(wall_z) / -way[2])
    if distance < 1.3 * head_height:  # too near the sitter: rather more to the side
        way = unit(np.array([way[0], way[1], -0.25]))
        distance = max(1.6 * head_height, min(2 * head_height, 0.8 * abs(wall_z) / 0.25))
    return way, distance


def lamp_colour(rng, warm):
    """(3,) of luminance 1: warm, or about daylight, or through a gel."""
    if warm:
        return kelvin(rng.uniform(2300, 4200))
    if rng.random() < 0.8:
        return kelvin(rng.uniform(4300, 5700))
    return colour_of(linear(GELS[rng.integers(len(GELS))]))
