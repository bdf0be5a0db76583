"""A room as it is before anything is shot: format, sitter, wall, lamps and camera."""
from dataclasses import dataclass

import cv2
import numpy as np

from camera import Camera, Lens
from lamps import SETS, Pool, new_lamp
from light import F, GREY, colour_of, kelvin, luminance
from portraits import PORTRAITS
from shading import Glow, Room, glow_layer, on_sitter, wall_layer
from sitter import Pose, Posed, Sitter
from texture import unit
from walls import new_wall

FORMATS = {'3:2': (1, 2 / 3), '2:3': (2 / 3, 1), '4:5': (4 / 5, 1)}  # width and height in long edges
FORMAT_TURNS = ['3:2', '2:3', '3:2', '4:5', '2:3']
WALL_TURNS = ['plain', 'plaster', 'brick', 'curtain', 'blackcloth', 'boards', 'plaster']
CURVE_TURNS = ['srgb', 'srgb+S', 'filmic', 'lifted', 'crushed', 'gamma', 'perchannel', 'lumS+sat', 'srgb+S']
HEAD_TURNS = ['bust', 'astronaut', 'bust', 'astronaut', 'cat', 'bust', 'cameraman', 'bust', 'bust', 'bust', 'astronaut',
              'bust', 'astronaut', 'bust', 'bust', 'cameraman', 'bust', 'cat', 'bust', 'bust']
# the head's height as a share of the picture's, and the least of it for photographs, whose shoulders need a place
HEAD_SHARES = {'3:2': (0.23, 0.35), '2:3': (0.16, 0.27), '4:5': (0.17, 0.28)}
LEAST_SHARES = {'3:2': 0.26, '2:3': 0.2, '4:5': 0.22}
BURNT = 1.5  # hardly any portrait is burnt out by more than its highlights
PIXELS = 1500  # long edge for which lengths in px are given throughout


@dataclass
class Scene:
    room: Room
    lens: Lens
    camera: Camera
    lamps: list
    slots: list  # where the lamps stand
    rest: Posed  # the sitter at rest
    wall_note: str
    dark_stops: float  # the dark room's mean on the wall
    has_gradient: bool


def in_turn(rng, values, number):
    """The value for room `number`, 1..: each comes equally often, in an order left to chance."""
    turns = [values[i] for _ in range(12) for i in rng.permutation(len(values))]
    return turns[(number - 1) % len(turns)]


def picture_size(shape_name, long_edge):
    """Columns and rows in px, multiples of 4: some light is worked out at a quarter of the size."""
    return tuple(4 * round(side * long_edge / 4) for side in FORMATS[shape_name])


def new_scene(rng, number, seed, long_edge):
    """Room `number`, 1..; long_edge of its pictures in px."""
    turns = np.random.default_rng([seed, 4242])
    shape_name, wall_kind, curve = [in_turn(turns, v, number) for v in (FORMAT_TURNS, WALL_TURNS, CURVE_TURNS)]
    columns, rows = picture_size(shape_name, long_edge)
    px = long_edge / PIXELS
    sitter = place_sitter(rng, HEAD_TURNS[(number - 1 + seed * 7) % len(HEAD_TURNS)], shape_name, (rows, columns))
    wall_z = -rng.uniform(1.2, 4.2) * sitter.head_height
    albedo, normal, wall_note = new_wall(rng, (rows, columns), sitter.head_height, px, wall_kind)
    lens, camera = Lens(rng, (rows, columns), px), Camera(rng, (rows, columns), curve)
    white = colour_of(kelvin(rng.choice([4800, 5200, 5200, 5600])))
    room = Room(columns, rows, px, sitter, wall_z, albedo, normal, white)
    rest = sitter.posed(Pose())
    lamps, slots = set_up_lamps(rng, room, rest)
    dark_stops, has_gradient = set_up_glow(rng, room, lens, rest)
    return Scene(room, lens, camera, lamps, slots, rest, wall_note, dark_stops, has_gradient)


def place_sitter(rng, kind, shape_name, shape):
    """A sitter somewhere about the middle of a picture of that format and shape (rows, columns)."""
    shares = {name: rng.uniform(*bounds) for name, bounds in HEAD_SHARES.items()}
    share, down = shares[shape_name], rng.uniform(0.40, 0.50)
    if kind in PORTRAITS:
        share, down = max(share, LEAST_SHARES[shape_name]), max(down, 0.44)
    return Sitter(rng, kind, shape, share, rng.uniform(0.40, 0.60), down)


def choose_slots(rng):
    """Two or three slots, and the share (2 or 3,) that each lamp has of the light on the head."""
    count = 2 if rng.random() < 0.5 else 3
    slots = list(SETS[rng.integers(len(SETS))])
    slots = slots[:count] if rng.random() < 0.5 or count == 3 else [slots[0], slots[2]]
    rng.shuffle(slots)
    shares = np.array([rng.uniform(0.12, 0.3) if slot.startswith('rim') else rng.uniform(0.35, 1.0) for slot in slots])
    shares = np.maximum(shares / shares.sum(), 0.09)
    return slots, shares / shares.sum()


def set_up_lamps(rng, room, rest):
    """The lamps, set for a sitter at rest, and their slots."""
    slots, shares = choose_slots(rng)
    on_wall = int(rng.integers(len(slots))) if rng.random() < 0.55 else -1
    total = GREY * 2 ** (rng.uniform(-0.9, 0.3) - 0.8 * room.sitter.tone)
    lamps = []
    for i, slot in enumerate(slots):
        lamp = new_lamp(rng, 'ABC'[i], slot, room.sitter, room.wall_z, room.white)
        set_power(lamp, room, rest, total * shares[i])
        lamp.bounce = min(lamp.bounce, GREY * 2 ** rng.uniform(-9, -4.5) / (0.4 * lamp.power))
        light_wall(rng, lamp, room, i == on_wall and not lamp.behind)
        lamps.append(lamp)
    return lamps, slots


def set_power(lamp, room, rest, wanted):
    """The power that gives the head that mean light."""
    light = luminance(on_sitter(room, lamp, rest))
    head = rest.head * rest.alpha
    lamp.power = wanted / max(float((light * rest.crop(head)).sum() / head.sum()), 1e-9)
    bright = np.percentile((light * lamp.power)[rest.crop(rest.head) > 0.5], 98)
    if bright > BURNT:
        lamp.power *= BURNT / bright


def light_wall(rng, lamp, room, hits):
    """What the lamp leaves on the wall: not much, as in a black room, but for the lamp that hits it."""
    s = room.sitter
    if hits:
        target = np.array([s.cx + rng.uniform(-0.3, 0.3) * room.columns, s.cy + rng.uniform(-0.3, 0.2) * room.rows,
                           room.wall_z])
        lamp.hit = Pool(unit(target - lamp.place), rng.uniform(0.12, 0.3), 0.6, lamp.pool.stray)
        lamp.note += ' hits the wall'
    light = wall_layer(room, lamp) * F(lamp.power)
    bright = max(np.percentile(luminance(light), 99.5), 1e-9)
    most = GREY * 2 ** rng.uniform(-4.5, 0)
    if hits:
        lamp.wall_share = GREY * 2 ** rng.uniform(-1.2, 1.6) / bright
    else:
        lamp.wall_share = min(1.0, most / bright)
    lamp.on_wall = light * F(lamp.wall_share)


def set_up_glow(rng, room, lens, rest):
    """Gives the room its own light. Returns its mean on the wall in stops and whether it changes across the wall."""
    dark_stops = rng.uniform(-9, -5.5)
    colour = colour_of(kelvin(rng.uniform(2600, 6500)) / room.white)
    has_gradient = rng.random() < 0.5
    room.glow = Glow(colour, aside=rng.uniform(-0.6, 0.6), across=rng.uniform(-0.7, 0.7) * has_gradient,
                     down=rng.uniform(-0.5, 0.5) * has_gradient, on_sitter=rng.uniform(0.5, 1.1))
    wall = clear_wall(rest.alpha, 0.08 * room.columns)
    mean = float(luminance(lens(glow_layer(room, rest)))[wall].mean())
    room.glow.strength = GREY * 2 ** dark_stops / mean
    return dark_stops, has_gradient


def clear_wall(alpha, margin):
    """Where there is wall (rows, columns), at least half the margin in px away from the sitter."""
    return cv2.erode((alpha < 0.01).astype(np.uint8), np.ones((int(margin) | 1,) * 2), borderValue=1) > 0
