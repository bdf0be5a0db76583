"""What falls on sitter and wall: each flash, the dark room's own glow, a leak.

All are layers of linear light (rows, columns, 3) that only need adding; `wall` is the wall's albedo (rows, columns, 3).
"""
from dataclasses import dataclass

import numpy as np

from chance import pick
from linear import F, ev, luminance, smooth

GELS = [(1, 0.62, 0.3), (1, 0.75, 0.5), (1, 0.5, 0.35), (1, 0.85, 0.7), (1, 0.58, 0.42), (1, 0.95, 0.9)]
LEAK_RGB = [(1, 0.7, 0.4), (1, 0.85, 0.6), (0.55, 0.8, 1.0)]


@dataclass
class Flash:
    id: str
    pos: np.ndarray  # (3,) h
    aim: np.ndarray  # (3,) h
    gel: np.ndarray  # (3,) its colour
    radius: float  # of its spot where it is aimed at, h
    edge: float  # the spot's soft edge, h
    stray: float  # share of its light beside the spot
    wrap: float  # how far it reaches around a surface: no flash is a point
    bounce: float  # what comes back from the room, everywhere
    gain: float = 1
    wall: np.ndarray = None  # (rows, columns, 3) what it leaves on the wall, without gel and gain


def new_flash(ident, side, rng, behind=False):
    reach = rng.uniform(7, 13)
    swing = np.deg2rad(rng.uniform(150, 165) if behind else rng.uniform(28, 75))
    pos = np.array([side * reach * np.sin(swing), -rng.uniform(0.5, 0.5 * reach), reach * np.cos(swing)], F)
    aim = np.array([rng.uniform(-0.25, 0.25), rng.uniform(-0.2, 0.25), 0], F)
    return Flash(ident, pos, aim, gel=pick(rng, GELS), radius=rng.uniform(1.0, 2.3), edge=rng.uniform(0.25, 0.9),
                 stray=10 ** rng.uniform(-2.6, -1.5), wrap=rng.uniform(0.02, 0.2), bounce=rng.uniform(0.002, 0.02))


def new_flashes(number, room, sitter, wall, rng):
    """Two or three flashes, on the face about as strong as a photographer would have them."""
    key = int(rng.choice([-1, 1]))
    flashes = [new_flash('A', key, rng), new_flash('B', -key, rng, behind=number % 5 == 0)]
    if number % 4 == 2:
        flashes.append(new_flash('C', int(rng.choice([-1, 1])), rng, behind=True))
    face = room.inside(room.cx, room.cy, 0)
    bare = bare_wall(room, sitter)
    for n, flash in enumerate(flashes):
        flash.wall = on_wall(flash, room, wall)
        mean = luminance(flash_layer(flash, room, sitter)[face]).mean()
        want = ev(rng.uniform(*[(-0.6, 0.4), (-2.0, 0.1), (-4.0, -2.0)][n]))
        flash.gain = float(want / mean)
        # a black room: the wall never gets much
        got = luminance(flash.wall * flash.gel)[bare].mean() * flash.gain
        flash.wall *= min(1.0, float(ev(rng.uniform(-5, -2.8)) / got))
    return flashes


def bare_wall(room, sitter):
    """Which pixels are wall, well clear of the sitter at rest."""
    return ~room.inside(room.cx, room.cy, 0, 1.7) & (sitter.mask < 0.01)


def shine(flash, x, y, z, n):
    """What a flash leaves on a surface, without its colour or strength; and the ways from there to it, three planes.

    x, y, z: places (rows, columns) or one number, h; n: normals (rows, columns, 3), or None for a wall that faces the
    camera.
    """
    lx, ly, lz = flash.pos[0] - x, flash.pos[1] - y, flash.pos[2] - z
    d = np.sqrt(lx * lx + ly * ly + lz * lz)
    axis = flash.aim - flash.pos
    reach = np.linalg.norm(axis)
    axis = axis / reach
    along = -(lx * axis[0] + ly * axis[1] + lz * axis[2])
    off = np.sqrt(np.maximum(d * d - along * along, 0)) / np.maximum(along, 0.1) * reach
    spot = smooth(flash.radius + flash.edge, flash.radius - flash.edge, off) * (along > 0) + flash.stray
    cos = lz / d if n is None else (n[..., 0] * lx + n[..., 1] * ly + n[..., 2] * lz) / d
    w = flash.wrap
    return np.maximum((cos + w) / (1 + w), 0) * spot * (reach / d) ** 2 + flash.bounce, (lx, ly, lz)


def on_wall(flash, room, wall):
    """What a flash leaves on the wall, with the shadow of a head at rest: it hardly moves as the head sways."""
    u, v = room.u, room.v
    e, (lx, ly, lz) = shine(flash, u, v, -room.depth, None)
    # the ray from the wall to the flash against an ellipsoid, made a unit sphere
    a = room.rx / room.ry
    px, py, pz = u / a, v, np.full_like(u, -room.depth / 0.85)
    dx, dy, dz = lx / a, ly, lz / 0.85
    t = np.clip(-(px * dx + py * dy + pz * dz) / (dx**2 + dy**2 + dz**2), 0, 1)
    near = np.sqrt((px + t * dx) ** 2 + (py + t * dy) ** 2 + (pz + t * dz) ** 2)
    return (wall * ((e - flash.bounce) * smooth(0.9, 1.15, near) + flash.bounce)[..., None]).astype(F)


def flash_layer(flash, room, sitter):
    e, _ = shine(flash, room.u, room.v, sitter.z, sitter.normal)
    m = sitter.mask[..., None]
    return (flash.wall * (1 - m) + sitter.albedo * e[..., None] * m) * flash.gel * flash.gain


def dark_layer(room, sitter, wall):
    """The dark room: a weak light that grows to one side."""
    d = room.glow
    fall = np.exp((d[0] * room.u + d[1] * room.v) * 0.12)[..., None]
    m = sitter.mask[..., None]
    n = sitter.normal
    lit = (0.6 + 0.4 * np.clip(n[..., 0] * d[0] + n[..., 1] * d[1] + 0.5 * n[..., 2], 0, 1))[..., None]
    return (wall * fall * (1 - m) + 0.8 * sitter.albedo * lit * fall * m) * room.glow_rgb * room.dark_gain


@dataclass
class Leak:
    side: str
    tau: float  # how far in its light falls to 1/e, in frames
    kind: str
    spread: float  # a slit's fan: its half width
    at: float  # a slit's place along that side, 0..1
    rgb: np.ndarray  # (3,)


def new_leak(side, rng):
    return Leak(side, tau=rng.uniform(0.15, 0.5), kind=rng.choice(['soft', 'slit']), spread=rng.uniform(0.2, 0.5),
                at=rng.uniform(0.25, 0.75), rgb=pick(rng, LEAK_RGB))


def leak_layer(leak, room, sitter, wall):
    y = (np.arange(room.h, dtype=F)[:, None] + 0.5) / room.h
    x = (np.arange(room.w, dtype=F)[None, :] + 0.5) / room.w
    t, along, d = {'left': (x, y, (-1, 0)), 'right': (1 - x, y, (1, 0)), 'top': (y, x, (0, -1)),
                   'bottom': (1 - y, x, (0, 1))}[leak.side]
    field = np.exp(-t / leak.tau)
    if leak.kind == 'slit':  # a door ajar: a fan that widens
        s = leak.spread * (0.5 + t)
        field = field * (0.35 + np.exp(-(((along - leak.at) / s) ** 2)))
    else:
        field = field + 0 * along  # the whole frame
    m = sitter.mask[..., None]
    lit = (0.3 + 0.7 * np.clip(sitter.normal[..., 0] * d[0] + sitter.normal[..., 1] * d[1] + 0.2, 0, 1))[..., None]
    return (wall * (1 - m) + sitter.albedo * lit * m) * field[..., None] * leak.rgb
