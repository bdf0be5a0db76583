#!/usr/bin/python3
"""Rooms apart: test rooms made without knowing how src/frame measures, so that they are a second opinion.

    /usr/bin/python3 make_rooms.py OUT_DIR [--rooms 12] [--only 3,5] [--size 1500] [--seed 7] [--curve KIND:K] [--turn 1.5]
        [--flat-wall] [--montage]

Everything is composed in linear light as layers (dark room, each flash, leak, trail), added, and taken with one camera.
Lengths in the scene are in half head heights ("h"); the face ellipse's centre is the origin, x right, y down, z to the
camera. Needs numpy, scipy, scikit-image (for its public-domain pictures) and Pillow.
"""
import argparse
import json
import os

import numpy as np
from PIL import Image, ImageDraw

from plans import plan_frames
from shots import new_scene, shoot_frame, shoot_plates


def make_room(out, number, size, seed, curve=None, turns=1.5, flat=False):
    """Writes apart-NN with plates, frames and truth.json; returns the folder."""
    rng = np.random.default_rng([seed, number])
    scene = new_scene(number, size, rng, curve, flat)
    room = scene.room
    folder = os.path.join(out, f'apart-{number:02d}')
    plates = os.path.join(folder, 'plates')
    os.makedirs(plates, exist_ok=True)
    write_json(os.path.join(plates, 'zones.json'), {'face': {'cx': room.cx / room.w, 'cy': room.cy / room.h,
                                                             'rx': room.rx / room.w, 'ry': room.ry / room.h}})
    shoot_plates(scene, plates, rng)
    frames = []
    for k, plan in enumerate(plan_frames([flash.id for flash in scene.flashes], number, rng), 1):
        # a generator of its own, so that a change to one frame leaves the others as they are
        frames.append(shoot_frame(scene, plan, os.path.join(folder, f'frame-{k}.jpg'), size, turns,
                                  np.random.default_rng([seed, number, k])))
    about = {'head': room.head, 'wall': room.wall, 'curve': list(room.curve), 'darkEv': round(float(scene.dark_ev), 2),
             'quality': room.quality, 'size': [room.w, room.h]}
    write_json(os.path.join(folder, 'truth.json'), {'room': about, 'frames': frames})
    print(folder, about, flush=True)
    return folder


def write_json(path, value):
    with open(path, 'w') as f:
        json.dump(value, f, indent=1)


def montage(folder):
    """All pictures of a room's folder on one sheet beside it."""
    files = ['plates/dark.jpg', 'plates/light-A.jpg', 'plates/light-B.jpg', 'plates/light-C.jpg']
    files = [f for f in files if os.path.exists(os.path.join(folder, f))]
    files += sorted((f for f in os.listdir(folder) if f.startswith('frame-') and f.endswith('.jpg')),
                    key=lambda f: int(f[6:-4]))
    thumbs = [Image.open(os.path.join(folder, f)) for f in files]
    for t in thumbs:
        t.thumbnail((420, 420))
    cw, ch = max(t.width for t in thumbs), max(t.height for t in thumbs)
    cols = 5
    sheet = Image.new('RGB', (cols * cw, -(-len(thumbs) // cols) * (ch + 14)))
    draw = ImageDraw.Draw(sheet)
    for n, (t, f) in enumerate(zip(thumbs, files)):
        at = (n % cols * cw, n // cols * (ch + 14))
        sheet.paste(t, (at[0], at[1] + 14))
        draw.text((at[0] + 3, at[1] + 1), f, fill=(180, 180, 180))
    sheet.save(folder + '-montage.png')


def main():
    p = argparse.ArgumentParser()
    p.add_argument('out')
    p.add_argument('--rooms', type=int, default=12)
    p.add_argument('--only', default='')
    p.add_argument('--size', type=int, default=1500)
    p.add_argument('--seed', type=int, default=7)
    p.add_argument('--curve', default='',
                   help='the same rooms through one tone curve: s:0.3, gamma:2.2, lift:0.01, film, srgb')
    p.add_argument('--turn', type=float, default=1.5, help='how far the head turns, degrees')
    p.add_argument('--flat-wall', action='store_true', help='the same rooms, the walls without texture')
    p.add_argument('--montage', action='store_true')
    a = p.parse_args()
    only = [int(n) for n in a.only.split(',')] if a.only else range(1, a.rooms + 1)
    kind, _, k = a.curve.partition(':')
    for n in only:
        folder = make_room(a.out, n, a.size, a.seed, (kind, float(k or 0)) if kind else None, a.turn, a.flat_wall)
        if a.montage:
            montage(folder)


if __name__ == '__main__':
    main()
