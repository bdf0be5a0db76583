"""A room's pictures: its plates, and its frames with their truth."""
import os
from dataclasses import dataclass

import numpy as np
from scipy import ndimage as ndi

from camera import lens, shoot
from lights import bare_wall, dark_layer, flash_layer, leak_layer, new_flashes, new_leak
from linear import ev, luminance
from room import Room, new_room
from sitter import Sitter, moved_centre, new_sitter, pose
from trails import new_trail, trail_layer
from truth import leak_truth, seen_trail
from walls import wall_albedo


@dataclass
class Scene:
    room: Room
    sitter: Sitter  # at rest
    wall: np.ndarray  # (rows, columns, 3) albedo
    flashes: list
    dark_ev: float  # the dark room's mean on the wall

    def lit(self, sitter, gains):
        """Linear light (rows, columns, 3) with the flashes in gains fired, each that many EV from its plate."""
        total = dark_layer(self.room, sitter, self.wall)
        for flash in self.flashes:
            if flash.id in gains:
                total = total + flash_layer(flash, self.room, sitter) * 2.0**gains[flash.id]
        return total


def new_scene(number, size, rng, curve=None, flat=False):
    """The scene of a number (from 1), its long edge size px; `curve` in place of its own, `flat`: an even wall."""
    room = new_room(number, size, rng, curve)
    sitter = new_sitter(room, rng)
    wall = wall_albedo(room, rng)
    if flat:
        wall[:] = wall.mean((0, 1))
    flashes = new_flashes(number, room, sitter, wall, rng)
    dark_ev = rng.uniform(-8, -5)
    dark = luminance(dark_layer(room, sitter, wall)[bare_wall(room, sitter)]).mean()
    room.dark_gain = float(ev(dark_ev) / dark)
    return Scene(room, sitter, wall, flashes, dark_ev)


def shoot_plates(scene, folder, rng):
    """dark.jpg and light-A.jpg, light-B.jpg ...: nobody sits quite still between them."""
    room = scene.room
    for name, gains in [('dark', {})] + [(f'light-{flash.id}', {flash.id: 0.0}) for flash in scene.flashes]:
        dx, dy = rng.uniform(-0.0015, 0.0015, 2) * room.w
        shoot(room, scene.lit(pose(scene.sitter, room, dx, dy, 0), gains), rng, os.path.join(folder, name + '.jpg'))


def shoot_frame(scene, plan, path, size, turns, rng):
    """One frame as planned, the head turned by up to `turns` degrees; returns its truth."""
    room, ids = scene.room, [flash.id for flash in scene.flashes]
    reach = rng.uniform(0, 0.02) * room.w
    way = rng.uniform(0, 6.28)
    dx, dy, turn = reach * np.cos(way), reach * np.sin(way) * 0.7, rng.uniform(-1.5, 1.5) / 1.5 * turns
    sitter = pose(scene.sitter, room, dx, dy, turn)
    cx, cy = moved_centre(room, dx, dy, turn)
    # a flash never gives quite the same twice
    gains = {i: float(rng.normal(0, 0.05) + plan.get('set', {}).get(i, 0)) for i in ids if i not in plan.get('off', [])}
    total = scene.lit(sitter, gains)
    truth = {'file': os.path.basename(path), 'plan': plan, 'shift': [dx / room.w, dy / room.h, turn],
             'lights': [{'id': i, 'fired': i in gains, 'ev': gains.get(i)} for i in ids],
             'ambient': {'riseEv': 0, 'riseMedianEv': 0, 'side': None}, 'trail': None, 'doubtful': False}
    if plan.get('leak'):
        seen = ~room.inside(cx, cy, turn, 1.7) & ~ndi.binary_dilation(sitter.mask > 0.01, iterations=int(0.01 * room.w))
        layer, truth['ambient'] = leak(scene, sitter, plan['leak'], seen, rng)
        total = total + layer
    if plan['trail']:
        trail = new_trail(plan['trail'], dx, dy, rng)
        own = trail_layer(trail, room, sitter.mask, rng)
        total = total + own
        truth['trailLight'] = {'ev': round(trail.ev, 2), 'width': round(trail.width, 4)}
        truth['trail'], truth['doubtful'] = seen_trail(room, luminance(lens(room, own)), cx, cy, turn, size)
    shoot(room, total, rng, path)
    return truth


def leak(scene, sitter, side, seen, rng):
    """A leak's light (rows, columns, 3) and its truth, from the pixels (rows, columns) where the wall is seen."""
    room = scene.room
    one = new_leak(side, rng)
    base = luminance(dark_layer(room, sitter, scene.wall) * room.vignette)[seen]
    layer = leak_layer(one, room, sitter, scene.wall)
    extra = luminance(layer * room.vignette)[seen]
    rise = min(rng.uniform(1, 5), -2.2 - scene.dark_ev)  # a room that leaks is still not a bright one
    gain = float(base.mean() * (2.0**rise - 1) / extra.mean())
    return layer * gain, leak_truth(rise, side, base, gain * extra)
