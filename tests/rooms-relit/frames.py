"""Shoots a room's plates and frames, and says what is in them."""
import os
from dataclasses import dataclass

import cv2
import numpy as np

from leaks import LEAST_ALBEDO, Levels, find_leak, leak_truth
from light import F, luminance
from scene import Scene, clear_wall
from shading import flash_layer, glow_layer
from sitter import between, sway
from trail_truth import inside
from trails import add_trail

PLATE_SWAY = (0.0012, 0.0025)  # how far the head moves between plates, usually and at most, as shares of the width
FRAME_SWAY = (0.007, 0.02)


@dataclass
class Shoot:
    """A room with all that its frames share."""
    scene: Scene
    rng: np.random.Generator
    noise: np.random.Generator  # the camera's
    head_light: float = 0.0  # of all flashes together
    ellipse: tuple = None  # the head's as set: centre x, y, half width, half height, px
    dark: np.ndarray = None  # the dark room behind the lens (rows, columns, 3), the sitter at rest
    throws: bool = False  # whether trails light sitter and wall


def shoot_plates(shoot, folder):
    """The dark room and each lamp alone; returns each lamp's share (n,) of the light on the head."""
    scene, heads = shoot.scene, []
    for lamp in [None] + scene.lamps:
        posed = scene.room.sitter.posed(sway(shoot.rng, scene.room.columns, *PLATE_SWAY))
        light = glow_layer(scene.room, posed)
        if lamp:
            flash = flash_layer(scene.room, lamp, posed)
            light = light + flash
            head = posed.head * posed.alpha
            heads.append(float((luminance(flash) * head).sum() / head.sum()))
        name = f'light-{lamp.id}.jpg' if lamp else 'dark.jpg'
        scene.camera.shoot(shoot.noise, scene.lens(light), os.path.join(folder, name))
    shoot.head_light = sum(heads)
    shares = np.array(heads) / shoot.head_light
    assert shares.min() >= 0.04, (shares, scene.slots)
    return shares


def draw_ellipse(rng, scene):
    """The ellipse a user would draw round the head, a little off: centre x, y, half width, half height in px."""
    room, lens, s = scene.room, scene.lens, scene.room.sitter
    rx, ry = s.rx * rng.uniform(0.98, 1.08), s.ry * rng.uniform(0.98, 1.05)
    cx, cy = lens.image_of((s.cx, s.cy)) + rng.normal(0, 0.012, 2) * s.head_height
    ellipse = (float(cx), float(cy), rx, ry)
    head = lens(scene.rest.head * scene.rest.alpha, shade=False) > 0.5
    within = inside(ellipse, s.x, s.y)
    assert head[int(cy), int(cx)]
    assert (head & within).sum() / within.sum() > 0.55, 'ellipse misses the head'
    assert 0.15 <= 2 * ry / room.rows <= 0.375
    return ellipse


def shoot_frame(shoot, plan, path):
    """Shoots a frame as planned; returns its truth."""
    scene, rng = shoot.scene, shoot.rng
    room, lens = scene.room, scene.lens
    pose = sway(rng, room.columns, *FRAME_SWAY)
    posed = room.sitter.posed(pose)
    glow = glow_layer(room, posed)
    blurred = rng.random() < 0.18
    flashes, lamps = fire(shoot, plan, pose, posed, blurred)
    light = glow
    for flash in flashes:
        light = light + flash
    ambient, leak = {'riseEv': 0.0, 'riseMedianEv': 0.0, 'side': None}, None
    if plan.leak:
        light, ambient, leak = add_leak(shoot, plan, pose, posed, glow, light)
    trail, trail_light, doubtful, note = None, None, False, {}
    if plan.trail:
        light, trail, trail_light, doubtful, note = add_trail(shoot, plan, pose, posed, light)
    else:
        light = lens(light)
    scene.camera.shoot(shoot.noise, light, path)
    swayed = {'dx': round(pose.head[0] / room.columns, 5), 'dy': round(pose.head[1] / room.rows, 5),
              'rot': round(pose.turn, 3)}
    happened = {'trail': plan.trail, 'off': plan.off, 'set': plan.set, 'leak': leak, 'pops': plan.pops, 'dim': plan.dim,
                'motionBlur': bool(blurred), 'sway': swayed, **note}
    return {'file': os.path.basename(path), 'plan': happened, 'lights': lamps, 'ambient': ambient, 'trail': trail,
            'trailLight': trail_light, 'doubtful': doubtful}


def fire(shoot, plan, pose, posed, blurred):
    """The layers of all flashes that fire, and the truth of each lamp: its stops from its plate."""
    scene, rng = shoot.scene, shoot.rng
    room, layers, truth = scene.room, [], []
    again = None
    if plan.pops:
        again = room.sitter.posed(between(pose, sway(rng, room.columns, *FRAME_SWAY)))
    for lamp in scene.lamps:
        if lamp.id in plan.off:
            truth.append({'id': lamp.id, 'fired': False, 'ev': None})
            continue
        ev = float(rng.normal(0, 0.04)) + plan.set.get(lamp.id, 0.0)
        layer = flash_layer(room, lamp, posed)
        if plan.pops:
            first = 2 ** (ev + rng.uniform(-1.3, -0.8))
            second = 2 ** ev - first if rng.random() < 0.6 else first
            layer = layer * F(first) + flash_layer(room, lamp, again) * F(second)
            ev = float(np.log2(first + second))
        else:
            layer = layer * F(2 ** ev)
        layers.append(smeared(layer, int(rng.integers(1, 3))) if blurred else layer)
        truth.append({'id': lamp.id, 'fired': True, 'ev': round(ev, 4)})
    return layers, truth


def smeared(layer, reach):
    """Motion blur to both sides by `reach` px."""
    kernel = np.zeros((7, 7), F)
    kernel[3, 3 - reach:4 + reach] = 1 / (2 * reach + 1)
    return cv2.filter2D(layer, -1, kernel)


def add_leak(shoot, plan, pose, posed, glow, light):
    """The light with a leak, the leak's truth, and the leak itself for the record."""
    room, lens = shoot.scene.room, shoot.scene.lens
    cx, cy, rx, ry = shoot.ellipse
    moved = (cx + pose.head[0], cy + pose.head[1], rx, ry)
    clear = clear_wall(posed.alpha, 0.06 * room.columns)
    clear &= ~inside(moved, room.sitter.x, room.sitter.y, 1.25)
    levels = Levels(clear, luminance(shoot.dark), luminance(lens(glow)), luminance(lens(light)),
                    luminance(room.wall_albedo) + LEAST_ALBEDO)
    leak, layer, own = find_leak(shoot.rng, room, lens, posed, levels, plan.leak)
    return light + layer, leak_truth(leak, levels, own), leak.record()
