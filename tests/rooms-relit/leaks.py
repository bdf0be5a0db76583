"""A leak: light from beyond one side of the picture, a door ajar or a screen, that was not there in the plates."""
from dataclasses import dataclass

import numpy as np

from light import F, colour_of, kelvin, luminance
from shading import composed

SIDES = ['left', 'right', 'top', 'bottom']
KINDS = ['door', 'screen', 'hall']
MAX_RISE = 3.5  # stops
FAINT = 0.10  # with less than this share of all other light beside its side a leak is hard to see
LEAST_ALBEDO = 0.002  # added where light is divided by albedo


@dataclass
class Leak:
    side: str
    rise: float  # stops by which it lifts the dark room's mean on the wall
    kelvin: float
    kind: str
    off: float  # how far beyond the side, in long edges
    at: float  # where along the side, 0..1
    long: float  # half its length, in long edges
    before: float  # how far before the sitter, in long edges
    fade: float  # how fast it falls across the picture, on top of its distance
    on_sitter: float  # strength on the sitter against that on the wall
    near_over_far: float = 0.0  # its light near the side against that far from it
    total_near_over_far: float = 0.0  # the same for all light but the flashes
    over_rest: float = 0.0  # its light against all other light, near the side

    def record(self):
        numbers = {'rise': self.rise, 'K': self.kelvin, 'off': self.off, 'at': self.at, 'len': self.long,
                   'dist': self.before, 'fade': self.fade, 'sit': self.on_sitter, 'nearOverFar': self.near_over_far,
                   'totalNearOverFar': self.total_near_over_far, 'overRestNear': self.over_rest}
        numbers = {name: round(float(n), 4) for name, n in numbers.items()}
        return {'side': self.side, 'rise': numbers.pop('rise'), 'K': numbers.pop('K'), 'kind': self.kind, **numbers,
                'faintBesideFlashes': bool(self.over_rest < FAINT)}


@dataclass
class Levels:
    """Luminances (rows, columns) behind the lens that a leak is weighed against."""
    clear: np.ndarray  # True where there is wall, well clear of the sitter
    dark: np.ndarray  # the dark room with the sitter at rest
    glow: np.ndarray  # the dark room now
    rest: np.ndarray  # all light but the leak
    wall: np.ndarray  # the wall's albedo, nowhere 0


def wanted_leak(rng):
    """What is asked of a leak; where exactly it comes from depends on the picture."""
    return {'side': str(rng.choice(['left', 'right', 'left', 'right', 'top', 'bottom'])),
            'rise': float(rng.uniform(0.5, MAX_RISE)), 'kelvin': float(rng.uniform(2200, 7500)),
            'kind': str(rng.choice(KINDS))}


def inward(room, side, x, y):
    """0 at that side .. 1 at the other, for places x, y in px."""
    return {'left': x / room.columns, 'right': 1 - x / room.columns, 'top': y / room.rows,
            'bottom': 1 - y / room.rows}[side]


def leak_layer(room, posed, leak):
    """The leak's light (rows, columns, 3), of no certain strength."""
    s, n = room.sitter, room.wall_normal
    wall = leak_field(room, leak, s.x, s.y, room.wall_z, n)
    some_wall = leak_field(room, leak, s.x[::8, ::8], s.y[::8, ::8], room.wall_z, n[::8, ::8])
    sitter = leak_field(room, leak, posed.x, posed.y, posed.z, posed.normal)
    sitter = sitter / (1 + sitter / (4 * some_wall.mean() + 1e-9))  # never much more than the wall gets
    colour = colour_of(kelvin(leak.kelvin) / room.white)
    wall = room.wall_albedo * wall[..., None]
    return composed(posed, wall, posed.albedo * sitter[..., None] * leak.on_sitter) * colour


def leak_field(room, leak, x, y, z, normal):
    """Light (rows, columns) at places x, y, z in px with those normals."""
    long_edge = max(room.columns, room.rows)
    off = leak.off * long_edge
    source_x, source_y = {
        'left': (-off, leak.at * room.rows), 'right': (room.columns + off, leak.at * room.rows),
        'top': (leak.at * room.columns, -off), 'bottom': (leak.at * room.columns, room.rows + off)}[leak.side]
    source_z = max(room.wall_z + 0.15 * long_edge, leak.before * long_edge)
    light = 0
    for end in (-1, 0, 1):  # a long slit or a screen: three points
        along = end * (leak.long * long_edge)
        upright = leak.side in ('left', 'right')
        dx = (source_x if upright else source_x + along) - x
        dy = (source_y + along if upright else source_y) - y
        dz = source_z - z
        r2 = dx * dx + dy * dy + dz * dz
        cosine = (normal[..., 0] * dx + normal[..., 1] * dy + normal[..., 2] * dz) / np.sqrt(r2)
        light = light + np.clip(cosine + 0.06, 0, None) * 1e6 / r2
    return (light * np.exp(-inward(room, leak.side, x, y) * leak.fade)).astype(F)


def find_leak(rng, room, lens, posed, levels, wanted):
    """A leak as wanted that can be told from the room's own light, and its layer; from another side if need be."""
    best = None
    for side in [wanted['side']] + [str(s) for s in rng.permutation(SIDES)]:
        found = leak_from(rng, room, lens, posed, levels, dict(wanted, side=side))
        if found is None:
            continue
        if found[0].total_near_over_far > 1.3 and (best is None or found[0].over_rest > best[0].over_rest):
            best = found
        if best is not None and best[0].over_rest > FAINT:
            break
    assert best is not None, 'no side for the leak'
    return best


def leak_from(rng, room, lens, posed, levels, wanted):
    """A leak from one side, its layer (rows, columns, 3) and its luminance behind the lens; or None."""
    inwards = inward(room, wanted['side'], room.sitter.x, room.sitter.y)
    near, far = levels.clear & (inwards < 0.22), levels.clear & (inwards > 0.78)
    few, many = 500 * room.px ** 2, 3000 * room.px ** 2
    if far.sum() <= few:
        far = levels.clear & (inwards > 0.5)
    if near.sum() < many or far.sum() < few:
        return None
    leak = Leak(**wanted, off=rng.uniform(0.08, 0.3), at=rng.uniform(0.2, 0.7), long=rng.uniform(0.03, 0.25),
                before=rng.uniform(-0.05, 0.45), fade=rng.uniform(0.2, 1.2), on_sitter=rng.uniform(0.5, 1.0))
    for _ in range(12):
        layer = leak_layer(room, posed, leak)
        own = luminance(lens(layer))
        leak.near_over_far = float((own / levels.wall)[near].mean() / (own / levels.wall)[far].mean())
        if leak.near_over_far > 4.0:
            break
        leak.fade += 0.4
    if leak.near_over_far < 2.2:
        return None
    gain = strengthen(leak, levels, own, near, far)
    return leak, layer * F(gain), own * F(gain)


def strengthen(leak, levels, own, near, far):
    """Lets a leak rise until it wins against the room's own gradient and is seen beside the flashes; its gain."""
    while True:
        gain = (2 ** leak.rise - 1) * levels.dark[levels.clear].mean() / own[levels.clear].mean()
        total = (levels.glow + own * F(gain)) / levels.wall
        leak.over_rest = float(gain * own[near].mean() / levels.rest[near].mean())
        leak.total_near_over_far = float(total[near].mean() / total[far].mean())
        if (leak.total_near_over_far > 1.35 and leak.over_rest > FAINT) or leak.rise >= MAX_RISE:
            return gain
        leak.rise = min(MAX_RISE, leak.rise + 0.25)


def leak_truth(leak, levels, own):
    """What a leak of that luminance did to the dark room's wall, in stops."""
    dark = levels.dark[levels.clear]
    lit = dark + own[levels.clear]
    rise = round(float(np.log2(lit.mean() / dark.mean())), 4)
    assert abs(rise - leak.rise) < 1e-2 and 0.45 <= rise <= MAX_RISE + 0.05
    return {'riseEv': rise, 'riseMedianEv': round(float(np.log2(np.median(lit) / np.median(dark))), 4),
            'side': leak.side}
