#!/usr/bin/python3
"""Rooms relit: synthetic photographs of sitters lit by flashes, with trails of a moving lamp, and the truth about them.

    /usr/bin/python3 make_rooms.py OUT [--rooms 20] [--first 1] [--only 3,5] [--seed 1] [--size 1500] [--montage]

Writes OUT/apart-NN with plates/ (dark.jpg, light-A.jpg .. and zones.json), frame-1.jpg .. and truth.json. Sitters are
modelled busts or public-domain pictures given a shape; lamps stand in space before, beside or behind them, and throw
shadows. Everything is composed in linear light, added, and taken with one camera.

The same seed and size make the same files. Another size makes other rooms of the same kind: lengths given in px are for
a picture 1500 px long and scale with it, but chance takes other turns. Needs numpy, scipy, OpenCV, Pillow and
scikit-image with its public-domain pictures installed: nothing is fetched.
"""
import argparse
import json
import os
import time

import cv2
import numpy as np

from contact_sheet import write_sheet
from frames import Shoot, draw_ellipse, shoot_frame, shoot_plates
from plans import plan_frames
from scene import new_scene
from shading import glow_layer
from trail_truth import check_frames


def make_room(out, number, seed, long_edge):
    """Writes a room; returns its folder."""
    folder = os.path.join(out, f'apart-{number:02d}')
    plates = os.path.join(folder, 'plates')
    os.makedirs(plates, exist_ok=True)
    rng = np.random.default_rng([seed, number])
    scene = new_scene(rng, number, seed, long_edge)
    room = scene.room
    shoot = Shoot(scene, rng, np.random.default_rng([seed, number, 77]))
    shares = shoot_plates(shoot, plates)
    shoot.ellipse = cx, cy, rx, ry = draw_ellipse(rng, scene)
    write_json(os.path.join(plates, 'zones.json'), {'face': {'cx': cx / room.columns, 'cy': cy / room.rows,
                                                             'rx': rx / room.columns, 'ry': ry / room.rows}})
    ids = [lamp.id for lamp in scene.lamps]
    plans = plan_frames(rng, ids)
    shoot.throws = rng.random() < 0.65
    shoot.dark = scene.lens(glow_layer(room, scene.rest))
    frames = [shoot_frame(shoot, plan, os.path.join(folder, f'frame-{k}.jpg')) for k, plan in enumerate(plans, 1)]
    check_frames(frames, ids)
    write_json(os.path.join(folder, 'truth.json'), {'room': about(shoot, seed, shares), 'frames': frames})
    return folder


def about(shoot, seed, shares):
    """What a room is made of, for its truth."""
    scene, camera, lens = shoot.scene, shoot.scene.camera, shoot.scene.lens
    room = scene.room
    lamps = [{'id': lamp.id, 'note': lamp.note, 'headShare': round(float(share), 3),
              'wall': round(float(lamp.wall_share), 3)} for lamp, share in zip(scene.lamps, shares)]
    return {'seed': seed, 'size': [room.columns, room.rows], 'head': room.sitter.note, 'wall': scene.wall_note,
            'wallDepthHeads': round(-room.wall_z / room.sitter.head_height, 2),
            'ambientEv': round(scene.dark_stops, 2), 'ambientGradient': bool(scene.has_gradient), 'lights': lamps,
            'curve': str(camera.curve), 'bayer': bool(camera.bayer), 'fullWell': round(camera.full_well),
            'readNoise': round(camera.read_noise, 1), 'hotPixels': len(camera.hot), 'jpeg': camera.quality,
            'subsampling': '4:4:4' if camera.subsampling == 0 else '4:2:0', 'icc': bool(camera.icc),
            'lens': {'k': round(lens.k, 4), 'vignette': round(lens.vignette, 2), 'blur': round(lens.blur, 2)},
            'throw': bool(shoot.throws), 'note': 'moved ellipse stays upright; its turn of <= 1.5 deg is left out'}


def write_json(path, value):
    with open(path, 'w') as f:
        json.dump(value, f, indent=1)


def main():
    p = argparse.ArgumentParser()
    p.add_argument('out')
    p.add_argument('--rooms', type=int, default=20)
    p.add_argument('--first', type=int, default=1)
    p.add_argument('--only', default='', help='numbers of rooms, as in 3,5; instead of --rooms and --first')
    p.add_argument('--seed', type=int, default=1)
    p.add_argument('--size', type=int, default=1500, help='long edge, px')
    p.add_argument('--montage', action='store_true', help="all of a room's pictures on one sheet beside its folder")
    a = p.parse_args()
    cv2.setNumThreads(1)
    for number in [int(n) for n in a.only.split(',')] if a.only else range(a.first, a.first + a.rooms):
        start = time.time()
        folder = make_room(a.out, number, a.seed, a.size)
        if a.montage:
            write_sheet(folder)
        print(folder, f'{time.time() - start:.1f} s', flush=True)


if __name__ == '__main__':
    main()
