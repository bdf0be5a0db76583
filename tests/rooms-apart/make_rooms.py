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
from scipy import ndimage as ndi
from scipy.signal import oaconvolve
from skimage import data

F = np.float32
GREY = 0.18
LUMA = np.array([0.2126, 0.7152, 0.0722], F)


def luminance(rgb):
    return rgb @ LUMA


def ev(x):
    return GREY * 2.0**x


def smooth(lo, hi, x):
    t = np.clip((x - lo) / (hi - lo), 0, 1)
    return t * t * (3 - 2 * t)


def linear(srgb):
    s = srgb.astype(F) / 255
    return np.where(s <= 0.04045, s / 12.92, ((s + 0.055) / 1.055) ** 2.4).astype(F)


def cloud(rng, shape, sigma, octaves=3):
    """Smooth noise of about unit spread."""
    total = np.zeros(shape, F)
    for o in range(octaves):
        s = max(sigma / 2**o, 0.8)
        step = max(1, int(s / 2))
        small = rng.standard_normal((shape[0] // step + 4, shape[1] // step + 4)).astype(F)
        small = ndi.gaussian_filter(small, s / step)
        small /= small.std() + 1e-9
        big = ndi.zoom(small, step, order=1)[: shape[0], : shape[1]] if step > 1 else small[: shape[0], : shape[1]]
        total += big / 2**o
    return total / total.std()


# --- the sitter: albedo, height, mask, in a canvas at the frame's size -----------------------------------------------

ASTRONAUT_HEAD = [(153, 75), (158, 50), (175, 28), (200, 16), (235, 14), (262, 22), (285, 42), (297, 70), (300, 95),
                  (292, 115), (279, 128), (271, 137), (263, 160), (252, 178), (237, 190), (220, 190), (203, 182),
                  (190, 165), (183, 145), (178, 128), (165, 122), (156, 105)]
ASTRONAUT_SUIT = [(185, 150), (262, 160), (285, 185), (303, 220), (303, 240), (330, 262), (348, 300), (358, 345),
                  (365, 640), (10, 640), (22, 420), (38, 330), (60, 262), (95, 226), (118, 210), (116, 185), (130, 160),
                  (160, 150)]
CAMERA_HEAD = [(155, 120), (157, 95), (168, 78), (185, 68), (212, 63), (240, 72), (258, 90), (268, 108), (270, 126),
               (262, 135), (257, 150), (258, 165), (252, 172), (250, 185), (238, 196), (222, 192), (210, 182),
               (195, 176), (180, 168), (163, 150)]
# picture, head outline, the outline's ellipse (cx, cy, rx, ry) in its pixels
PORTRAITS = {
    'astronaut': ('astronaut', ASTRONAUT_HEAD, (227, 102, 76, 91)),
    'camera': ('camera', CAMERA_HEAD, (213, 130, 62, 70)),
    'cat': ('chelsea', None, (212, 152, 172, 150)),
}


def polygon(shape, points, feather):
    im = Image.new('L', (shape[1], shape[0]), 0)
    ImageDraw.Draw(im).polygon([tuple(p) for p in points], fill=255)
    return ndi.gaussian_filter(np.asarray(im, F) / 255, feather)


def body_shape(u, v, rng):
    """Neck and shoulders as a soft mask of canonical coordinates, with a height."""
    wide, drop, neck = rng.uniform(1.7, 2.5), rng.uniform(1.15, 1.4), rng.uniform(0.36, 0.5)
    out = np.abs(u) / wide
    edge = (v - drop - 0.4 * out ** rng.uniform(1.6, 2.6) - 0.7 * out**7) / (1 + 5 * np.minimum(out, 1.3) ** 6)
    necking = np.minimum(neck - np.abs(u), v - 0.5)
    torso = smooth(-0.03, 0.03, edge)
    throat = smooth(-0.03, 0.03, necking)
    z_torso = -0.5 + 0.9 * np.sqrt(np.clip(1 - (u / (wide + 0.2)) ** 2, 0, 1)) - 0.7 * np.exp(-np.clip(edge, 0, 9) * 4)
    z_throat = -0.5 + 0.6 * np.sqrt(np.clip(1 - (u / (neck + 0.05)) ** 2, 0, 1))
    return torso.astype(F), throat.astype(F), z_torso.astype(F), z_throat.astype(F)


SKINS = [(0.62, 0.42, 0.31), (0.5, 0.31, 0.21), (0.3, 0.17, 0.1), (0.12, 0.065, 0.04), (0.7, 0.52, 0.42)]
HAIRS = [(0.02, 0.017, 0.015), (0.08, 0.045, 0.025), (0.35, 0.24, 0.11), (0.25, 0.09, 0.035), (0.4, 0.4, 0.4)]
CLOTHS = [(0.02, 0.02, 0.022), (0.05, 0.05, 0.06), (0.3, 0.05, 0.04), (0.08, 0.12, 0.25), (0.22, 0.21, 0.19)]


def pick(rng, rows):
    return np.array(rows[rng.integers(len(rows))], F)


def drawn_head(u, v, a, rng, px):
    """An ellipsoid with hair, eyes, brows, nose and mouth; u, v in h, a the half width."""
    skin, hair = pick(rng, SKINS), pick(rng, HAIRS)
    ur = u / a
    jaw = 1 - 0.16 * smooth(0.2, 1.0, v)  # narrower towards the chin
    r2 = (ur / jaw) ** 2 + v**2
    mask = smooth(1.03, 0.97, np.sqrt(r2))
    z = 0.85 * np.sqrt(np.clip(1 - r2, 0, 1))
    albedo = np.broadcast_to(skin, u.shape + (3,)).copy()
    blush = np.exp(-(((np.abs(u) - 0.38) / 0.2) ** 2 + ((v - 0.3) / 0.18) ** 2))
    albedo *= 1 + blush[..., None] * np.array([0.08, -0.1, -0.12], F)
    turn = rng.uniform(-0.12, 0.12)  # looks a little aside
    x = u - turn
    nose = np.exp(-((x / (0.075 + 0.09 * smooth(-0.1, 0.4, v))) ** 2)) * smooth(-0.2, 0.3, v) * smooth(0.44, 0.36, v)
    z = z + 0.22 * nose - 0.07 * np.exp(-(((np.abs(x) - 0.3) / 0.17) ** 2 + ((v + 0.06) / 0.12) ** 2))
    z = z + 0.05 * np.exp(-((x / 0.22) ** 2 + ((v - 0.56) / 0.09) ** 2))
    ex, ey = np.abs(x) - 0.3, v + 0.04
    eye = smooth(1.1, 0.9, np.sqrt((ex / 0.13) ** 2 + (ey / 0.06) ** 2))[..., None]
    iris = smooth(0.058, 0.05, np.hypot(ex, ey))[..., None]
    lash = smooth(0.03, 0.01, np.abs(ey + 0.06 - 0.3 * ex**2 * 10) + 0.1 * smooth(0.1, 0.16, np.abs(ex)))[..., None]
    albedo = albedo * (1 - eye) + eye * np.array([0.6, 0.58, 0.55], F)
    albedo = albedo * (1 - eye * iris) + eye * iris * np.array([0.05, 0.06, 0.05], F)
    albedo = albedo * (1 - 0.8 * lash) + 0.8 * lash * hair
    brow = smooth(1.15, 0.85, np.sqrt((ex / 0.17) ** 2 + ((v + 0.2 - 0.4 * ex**2) / 0.035) ** 2))[..., None]
    albedo = albedo * (1 - 0.85 * brow) + 0.85 * brow * hair
    lips = smooth(1.15, 0.9, np.sqrt((x / 0.22) ** 2 + ((v - 0.56) / 0.065) ** 2))[..., None]
    albedo = albedo * (1 - 0.6 * lips) + 0.6 * lips * skin * np.array([1, 0.55, 0.55], F)
    slit = np.exp(-(((v - 0.56) / 0.012) ** 2)) * smooth(0.22, 0.18, np.abs(x))
    albedo *= (1 - 0.7 * slit)[..., None]
    style = rng.integers(4)
    line = -0.45 + 0.3 * (u / a) ** 2
    if style == 0:  # short
        top = smooth(0.03, -0.03, v - line) + smooth(0.8, 0.86, np.abs(ur)) * smooth(0.15, 0.05, v)
    elif style == 1:  # long, at both sides
        top = smooth(0.03, -0.03, v - line) + smooth(0.66, 0.74, np.abs(ur) + 0.05 * np.sin(9 * v))
    elif style == 2:  # parted at one side, a fringe
        top = smooth(0.04, -0.04, v + 0.35 + 0.35 * (ur - 0.2)) + smooth(0.78, 0.86, np.abs(ur)) * smooth(0.3, 0.1, v)
    else:  # bald with a beard
        top = smooth(0.4, 0.5, v) * (1 - lips[..., 0]) * smooth(0.1, 0.2, np.hypot(x * 1.2, v - 0.4)) * 0.8
    top = np.clip(top, 0, 1)[..., None]
    strands = 1 + 0.45 * np.sin(u * 60 + 3 * np.sin(v * 7) + cloud(rng, u.shape, px * 0.06) * 1.5)
    albedo = albedo * (1 - top) + top * hair * strands[..., None]
    pores = 1 + 0.06 * cloud(rng, u.shape, max(px * 0.02, 1.0))
    return (albedo * pores[..., None]).astype(F), z.astype(F), mask.astype(F)


def sitter(room, rng):
    """Canvas maps of head and body at rest: albedo, normal, z, mask."""
    h, w, px = room['h'], room['w'], room['ry']
    yy, xx = np.mgrid[0:h, 0:w].astype(F)
    u, v = (xx - room['cx']) / px, (yy - room['cy']) / px
    a = room['rx'] / px
    flip = -1 if rng.random() < 0.5 else 1
    cloth = pick(rng, CLOTHS)
    torso, throat, z_torso, z_throat = body_shape(u, v, rng)
    folds = cloud(rng, (h, w), px * 0.3)
    weave = 1 + 0.12 * cloud(rng, (h, w), max(px * 0.02, 1.0))
    cloth_map = cloth * (weave * (1 + 0.15 * folds))[..., None]
    z_torso = z_torso + 0.04 * folds
    kind = room['head']
    if kind == 'drawn':
        albedo, z_head, head = drawn_head(u / 0.97, v / 0.97, a, rng, px)
        skin = albedo[int(room['cy'] + 0.3 * px), int(np.clip(room['cx'], 0, w - 1))]
    else:
        name, outline, (ox, oy, orx, ory) = PORTRAITS['astronaut' if kind == 'astronaut-suit' else kind]
        src = getattr(data, name)()
        if src.ndim == 2:
            src = np.repeat(src[..., None], 3, 2)
        src = linear(src)
        if kind == 'camera':  # a grey picture gets a tint
            src = src * np.array([1.35, 0.95, 0.75], F) * 1.2
        coords = np.array([oy + v * ory * 0.97, ox + flip * (u / a) * orx * 0.97])
        albedo = np.stack([ndi.map_coordinates(src[..., c], coords, order=3, mode='nearest', prefilter=True)
                           for c in range(3)], -1).clip(0.004, 0.95)
        if outline is None:
            head = smooth(1.0, 0.9, np.hypot(u / a, v)) * smooth(-1.0, -0.95, v)
        else:
            soft = polygon((720, src.shape[1]), outline, 1.6)
            head = ndi.map_coordinates(soft, coords, order=1)
        detail = luminance(albedo)
        detail = ndi.gaussian_filter(detail, px * 0.03) - ndi.gaussian_filter(detail, px * 0.2)
        z_head = 0.85 * np.sqrt(np.clip(1.08 - (u / a) ** 2 - v**2, 0, 1)) + 0.12 * detail
        skin = np.median(albedo[(np.hypot(u / a, v - 0.3) < 0.4)], axis=0)
        if kind == 'astronaut-suit':
            suit = ndi.map_coordinates(polygon((720, 512), ASTRONAUT_SUIT, 2.0), coords, order=1)
            dist = ndi.distance_transform_edt(suit > 0.5).astype(F) / px
            z_torso = -0.5 + 0.8 * np.sqrt(1 - np.clip(1 - dist / 1.2, 0, 1) ** 2)
            cloth_map, torso, throat = albedo, suit, np.zeros_like(suit)
    base = cloth_map * torso[..., None] + np.array(skin, F) * 0.8 * (1 - torso)[..., None]
    under = np.clip(torso + throat, 0, 1)
    z_under = np.where(torso > 0.5, z_torso, z_throat)
    hm = head[..., None]
    albedo = albedo * hm + base * (1 - hm)
    z = z_head * head + z_under * (1 - head)
    mask = np.clip(head + under * (1 - head), 0, 1)
    z = ndi.gaussian_filter(z.astype(F), 0.8)
    gy, gx = np.gradient(z * px)
    n = np.stack([-gx, -gy, np.ones_like(gx)], -1)
    n /= np.linalg.norm(n, axis=-1, keepdims=True)
    maps = np.concatenate([albedo, n, z[..., None], mask[..., None], head[..., None]], -1).astype(F)
    return maps


def pose(maps, room, dx, dy, turn):
    """The sitter shifted by dx, dy px and turned about the neck."""
    if dx == dy == turn == 0:
        return maps
    t = np.deg2rad(turn)
    c, s = np.cos(t), np.sin(t)
    pivot = np.array([room['cy'] + 1.5 * room['ry'], room['cx']])
    m = np.array([[c, -s], [s, c]])  # output (row, col) -> input
    off = pivot - m @ (pivot + np.array([dy, dx]))
    out = np.empty_like(maps)
    for k in range(maps.shape[2]):
        out[..., k] = ndi.affine_transform(maps[..., k], m, off, order=1, mode='nearest')
    return out


def moved_ellipse(room, dx, dy, turn):
    t = np.deg2rad(turn)
    c, s = np.cos(t), np.sin(t)
    px_, py_ = room['cx'], room['cy'] + 1.5 * room['ry']
    ox, oy = 0.0, -1.5 * room['ry']
    # inverse of pose()'s map: input -> output
    x, y = c * ox - s * oy, s * ox + c * oy
    return px_ + dx + x, py_ + dy + y


# --- room and light --------------------------------------------------------------------------------------------------

def wall_albedo(room, rng):
    h, w = room['h'], room['w']
    kind = room['wall']
    level = rng.uniform(0.05, 0.3)
    if kind in ('brick', 'grass', 'gravel'):
        t = linear(getattr(data, kind)())
        t = t / t.mean()
        t = ndi.zoom(t, rng.uniform(0.8, 1.6), order=1)
        t = np.concatenate([t, t[::-1]], 0)
        t = np.concatenate([t, t[:, ::-1]], 1)
        tex = np.tile(t, (h // t.shape[0] + 1, w // t.shape[1] + 1))[:h, :w]
    elif kind == 'plaster':
        tex = 1 + 0.12 * cloud(rng, (h, w), 40) + 0.08 * cloud(rng, (h, w), 3, 1)
    elif kind == 'curtain':
        x = np.arange(w, dtype=F) / w
        y = np.arange(h, dtype=F)[:, None] / h
        n = rng.uniform(9, 22)
        ph = 2 * np.pi * n * (x + 0.012 * np.sin(2 * np.pi * (3 * x + rng.random())) + 0.01 * y * np.sin(17 * x))
        tex = 0.9 + 0.5 * np.sin(ph) + 0.15 * np.sin(2 * ph + 1)
    elif kind == 'boards':
        x = np.arange(w)
        board = x // int(w / rng.uniform(7, 14))
        tone = rng.uniform(0.7, 1.3, board.max() + 1)[board]
        gap = np.r_[0, np.diff(board)] > 0
        tone = tone * (1 - 0.8 * ndi.gaussian_filter1d(gap.astype(float) * 3, 1.2).clip(0, 1))
        tex = tone[None, :] * (1 + 0.1 * cloud(rng, (h, w), 20))
    else:
        tex = np.ones((h, w), F)
    tint = 1 + rng.uniform(-0.15, 0.15, 3)
    return (np.clip(tex, 0.1, 3)[..., None] * level * tint).astype(F)


GELS = [(1, 0.62, 0.3), (1, 0.75, 0.5), (1, 0.5, 0.35), (1, 0.85, 0.7), (1, 0.58, 0.42), (1, 0.95, 0.9)]


def make_light(ident, side, rng, behind=False):
    reach = rng.uniform(7, 13)
    swing = np.deg2rad(rng.uniform(150, 165) if behind else rng.uniform(28, 75))
    pos = np.array([side * reach * np.sin(swing), -rng.uniform(0.5, 0.5 * reach), reach * np.cos(swing)], F)
    aim = np.array([rng.uniform(-0.25, 0.25), rng.uniform(-0.2, 0.25), 0], F)
    return {'id': ident, 'pos': pos, 'aim': aim, 'gel': pick(rng, GELS), 'radius': rng.uniform(1.0, 2.3),
            'edge': rng.uniform(0.25, 0.9), 'stray': 10 ** rng.uniform(-2.6, -1.5), 'wrap': rng.uniform(0.02, 0.2),
            'bounce': rng.uniform(0.002, 0.02)}


def shine(light, room, x, y, z, n):
    """What one flash leaves on a surface, without its colour or strength."""
    lx, ly, lz = light['pos'][0] - x, light['pos'][1] - y, light['pos'][2] - z
    d = np.sqrt(lx * lx + ly * ly + lz * lz)
    axis = light['aim'] - light['pos']
    reach = np.linalg.norm(axis)
    axis = axis / reach
    along = -(lx * axis[0] + ly * axis[1] + lz * axis[2])
    off = np.sqrt(np.maximum(d * d - along * along, 0)) / np.maximum(along, 0.1) * reach
    spot = smooth(light['radius'] + light['edge'], light['radius'] - light['edge'], off) * (along > 0) + light['stray']
    if n is None:
        cos = lz / d
    else:
        cos = (n[..., 0] * lx + n[..., 1] * ly + n[..., 2] * lz) / d
    w = light['wrap']
    return np.maximum((cos + w) / (1 + w), 0) * spot * (reach / d) ** 2 + light['bounce'], (lx, ly, lz)


def flash_layers(light, room, maps, wall, grid):
    u, v = grid
    if 'wall' not in light:
        e, (lx, ly, lz) = shine(light, room, u, v, -room['depth'], None)
        # the head's shadow on the wall: the ray to the light against an ellipsoid
        a = room['rx'] / room['ry']
        px_, py_, pz_ = u / a, v, np.full_like(u, -room['depth'] / 0.85)
        dx_, dy_, dz_ = lx / a, ly, lz / 0.85
        t = np.clip(-(px_ * dx_ + py_ * dy_ + pz_ * dz_) / (dx_**2 + dy_**2 + dz_**2), 0, 1)
        near = np.sqrt((px_ + t * dx_) ** 2 + (py_ + t * dy_) ** 2 + (pz_ + t * dz_) ** 2)
        bounce = light['bounce']
        light['wall'] = (wall * ((e - bounce) * smooth(0.9, 1.15, near) + bounce)[..., None]).astype(F)
    e, _ = shine(light, room, u, v, maps[..., 6], maps[..., 3:6])
    m = maps[..., 7:8]
    return (light['wall'] * (1 - m) + maps[..., :3] * e[..., None] * m) * light['gel'] * light.get('gain', 1)


def dark_layer(room, maps, wall, grid):
    u, v = grid
    d = room['glow']
    fall = np.exp((d[0] * u + d[1] * v) * 0.12)[..., None]
    m = maps[..., 7:8]
    lit = (0.6 + 0.4 * np.clip(maps[..., 3] * d[0] + maps[..., 4] * d[1] + 0.5 * maps[..., 5], 0, 1))[..., None]
    return (wall * fall * (1 - m) + 0.8 * maps[..., :3] * lit * fall * m) * room['glow_rgb'] * room.get('dark_gain', 1)


def leak_layer(room, maps, wall, leak):
    h, w = room['h'], room['w']
    y = (np.arange(h, dtype=F)[:, None] + 0.5) / h
    x = (np.arange(w, dtype=F)[None, :] + 0.5) / w
    t, along, d = {'left': (x, y, (-1, 0)), 'right': (1 - x, y, (1, 0)), 'top': (y, x, (0, -1)),
                   'bottom': (1 - y, x, (0, 1))}[leak['side']]
    field = np.exp(-t / leak['tau'])
    if leak['kind'] == 'slit':  # a door ajar: a fan that widens
        s = leak['spread'] * (0.5 + t)
        field = field * (0.35 + np.exp(-(((along - leak['at']) / s) ** 2)))
    else:
        field = field + 0 * along
    m = maps[..., 7:8]
    lit = (0.3 + 0.7 * np.clip(maps[..., 3] * d[0] + maps[..., 4] * d[1] + 0.2, 0, 1))[..., None]
    return (wall * (1 - m) + maps[..., :3] * lit * m) * field[..., None] * leak['rgb']


# --- the trail -------------------------------------------------------------------------------------------------------

def wobble(rng, t, turns, size, top=5):
    out = np.zeros_like(t)
    for k in range(1, top):
        out += rng.normal(0, size / k) * np.sin(2 * np.pi * k * t * max(1, turns) * 0.7 + rng.uniform(0, 6.28))
    return out


def loop(rng, turns=1.0, sx=1.5, sy=1.35, at=(0, 0), size=0.05, start=None, drift=0.0):
    """A ring around the head in units of (rx, ry); turns may be part of one. Returns points u, v."""
    t = np.linspace(0, 1, int(3000 * max(1, turns)))
    start = rng.uniform(0, 6.28) if start is None else start
    th = start + rng.choice([-1, 1]) * 2 * np.pi * turns * t
    k = 1 + np.clip(wobble(rng, t, turns, size), -2 * size, 3 * size) + drift * (t - 0.5)
    return np.stack([at[0] + sx * k * np.cos(th), at[1] + sy * k * np.sin(th)], -1)


def strokes(kind, room, rng):
    """Point lists in units of the ellipse (rx, ry) about its centre."""
    up = (room['cy'] / room['ry']) - 1  # room above the head, in ry
    sx, sy = rng.uniform(1.6, 2.4), rng.uniform(1.45, min(1.9, up + 0.9))
    if kind == 'loop':
        return [loop(rng, rng.uniform(1.0, 1.15), sx, sy)]
    if kind == 'two':
        return [loop(rng, 1.05, sx, sy), loop(rng, 1.05, sx * 1.25, sy * rng.uniform(1.0, 1.15), (0, rng.uniform(-.1, .1)))]
    if kind == 'ten':
        return [loop(rng, 1.0, sx * rng.uniform(0.95, 1.3), sy * rng.uniform(0.95, 1.15),
                     rng.uniform(-0.1, 0.1, 2), 0.03) for _ in range(10)]
    if kind == 'spiral':
        return [loop(rng, rng.uniform(2.2, 3.3), sx * 1.1, sy * 1.02, size=0.02, drift=0.25)]
    if kind == 'arch':
        th = np.pi + rng.uniform(-0.3, 0.3)
        t = np.linspace(th, th + rng.uniform(2.5, 3.5), 3000)
        k = 1 + wobble(rng, np.linspace(0, 1, 3000), 1, 0.03)
        return [np.stack([sx * k * np.cos(t), sy * k * np.sin(t)], -1)]
    if kind == 'high':
        gap = rng.uniform(0.5, max(0.6, min(1.6, up - 0.5)))
        t = np.linspace(-1, 1, 3000)
        bow = rng.uniform(0.1, 0.4)
        return [np.stack([rng.uniform(0.9, 1.8) * t + rng.uniform(-0.2, 0.2),
                          -1 - gap - bow * (1 - t * t) + wobble(rng, t, 1, 0.03)], -1)]
    if kind == 'aside':
        s = rng.choice([-1, 1])
        return [loop(rng, 1.05, sx * 1.15, sy, (s * rng.uniform(0.35, 0.9), rng.uniform(-0.1, 0.1)))]
    if kind == 'beside':  # wholly at one side
        s = rng.choice([-1, 1])
        t = np.linspace(-1, 1, 3000)
        return [np.stack([s * (1.8 + 0.5 * np.cos(t * 1.5)) + wobble(rng, t, 1, 0.04), 1.3 * t + rng.uniform(-.3, .2)], -1)]
    if kind == 'dashed':
        p = loop(rng, 1.0, sx, sy, size=0.03)
        n = int(rng.integers(7, 16))
        part = (np.arange(len(p)) * n / len(p)) % 1
        return [p[(np.arange(len(p)) * n // len(p)) == i][part[(np.arange(len(p)) * n // len(p)) == i] < 0.6]
                for i in range(n)]
    if kind == 'eight':
        t = np.linspace(0, 2 * np.pi, 5000)
        return [np.stack([2.4 * np.sin(t), -0.1 + 1.25 * np.sin(2 * t + 0.3)], -1)]
    if kind == 'crown':  # zigzag over the head
        n = int(rng.integers(4, 8))
        t = np.linspace(-1, 1, 4000)
        saw = np.abs(((t + 1) / 2 * n) % 1 - 0.5) * 2
        return [np.stack([1.7 * t, -1.3 + 0.9 * t * t - 0.45 * saw], -1)]
    if kind == 'rays':  # single strokes outwards
        n = int(rng.integers(7, 14))
        out = []
        for i in range(n):
            th = 2 * np.pi * (i + rng.uniform(-0.2, 0.2)) / n
            r = np.linspace(1.35, rng.uniform(1.8, 2.4), 600)
            bend = th + rng.uniform(-0.2, 0.2) * (r - 1.3)
            out.append(np.stack([r * np.cos(bend) * 1.1, r * np.sin(bend)], -1))
        return out
    if kind == 'cross':
        how = rng.integers(3)
        if how == 0:  # a ring set too low or too small, its edge over the face
            return [loop(rng, 1.05, sx, sy, (rng.uniform(-0.3, 0.3), sy * rng.choice([0.8, -0.6])))]
        if how == 1:  # a stroke through it, then around
            t = np.linspace(-1, 1, 4000)
            y = rng.uniform(-0.5, 0.5)
            cut = np.stack([2.0 * t, y + 0.25 * np.sin(3 * t + rng.uniform(0, 6)) + rng.uniform(-0.3, 0.3) * t], -1)
            return [cut, loop(rng, 0.7, sx, sy)]
        t = np.linspace(-1, 1, 4000)  # steeply from above to the chest
        return [np.stack([rng.uniform(-0.4, 0.4) + 0.3 * np.sin(2 * t + rng.uniform(0, 6)), 1.7 * t], -1), loop(rng, 0.5, sx, sy)]
    if kind == 'behind':
        t = np.linspace(-1, 1, 4000)
        y = rng.uniform(-0.5, 0.6)
        return [np.stack([2.3 * t, y + 0.2 * np.sin(2.5 * t + rng.uniform(0, 6))], -1), loop(rng, 0.6, sx, sy, start=-2.8)]
    raise ValueError(kind)


TRAIL_RGB = [(1, 1, 1), (1, 1, 1), (1, 0.85, 0.65), (0.7, 0.85, 1), (1, 0.45, 0.15), (0.3, 0.6, 1), (0.3, 1, 0.45),
             (1, 0.3, 0.6)]


def paint(kind, room, trail, rng):
    """The trail's own linear light, before the lens."""
    h, w = room['h'], room['w']
    out = np.zeros((h, w, 3), F)
    radius = max(trail['width'] * w / 2, 1.2)
    k = int(np.ceil(radius)) + 1
    yy, xx = np.mgrid[-k:k + 1, -k:k + 1]
    disc = np.clip(radius + 0.5 - np.hypot(xx, yy), 0, 1)
    disc = disc / disc.sum() * (np.pi * radius / 2)  # a straight stroke of 1 a pixel peaks at 1
    groups = [[], []]
    for i, s in enumerate(strokes(kind, room, rng)):
        groups[i % 2 if trail['second'] is not None else 0].append(s)
    for group, rgb in zip(groups, (trail['rgb'], trail['second'])):
        if not group:
            continue
        acc = np.zeros(h * w)
        for s in group:
            p = s * [room['rx'], room['ry']] + [room['cx'] + trail['dx'], room['cy'] + trail['dy']]
            step = np.hypot(*np.diff(p, axis=0).T)
            dist = np.r_[0, np.cumsum(step)]
            n = max(2, int(dist[-1] / 0.35))
            at = np.linspace(0, dist[-1], n)
            x, y = np.interp(at, dist, p[:, 0]), np.interp(at, dist, p[:, 1])
            pace = wobble(rng, np.linspace(0, 1, n), 1, trail['uneven'])  # a hand is not even: EV
            wt = 2.0**np.clip(pace, -0.8, 0.8) * dist[-1] / n
            x0, y0 = np.floor(x).astype(int), np.floor(y).astype(int)
            fx, fy = x - x0, y - y0
            for ox, oy, f in ((0, 0, (1 - fx) * (1 - fy)), (1, 0, fx * (1 - fy)), (0, 1, (1 - fx) * fy), (1, 1, fx * fy)):
                ok = (x0 + ox >= 0) & (x0 + ox < w) & (y0 + oy >= 0) & (y0 + oy < h)
                acc += np.bincount((y0 + oy)[ok] * w + (x0 + ox)[ok], (wt * f)[ok], h * w)
        line = np.clip(oaconvolve(acc.reshape(h, w), disc, mode='same'), 0, None).astype(F)
        line[line < 1e-5] = 0
        rgb = np.array(rgb, F)
        out += (line * ev(trail['ev']))[..., None] * (rgb / luminance(rgb))
    return out


def wide_blur(img, sigma):
    step = max(1, int(sigma / 4))
    h, w, _ = img.shape
    hh, ww = -(-h // step) * step, -(-w // step) * step
    pad = np.pad(img, ((0, hh - h), (0, ww - w), (0, 0)))
    small = pad.reshape(hh // step, step, ww // step, step, 3).mean((1, 3))
    small = ndi.gaussian_filter(small, (sigma / step, sigma / step, 0))
    return ndi.zoom(small, (step, step, 1), order=1)[:h, :w].astype(F)


# --- the camera ------------------------------------------------------------------------------------------------------

def encode(x):
    return np.where(x <= 0.0031308, 12.92 * x, 1.055 * np.maximum(x, 1e-9) ** (1 / 2.4) - 0.055)


def tone(room, x):
    x = np.clip(x, 0, None)
    kind, k = room['curve']
    if kind == 'film':  # a shoulder instead of a hard end; middle grey stays
        g = -np.log1p(-GREY * 0.9) / GREY
        x = (1 - np.exp(-x * g)) / 0.9
        return encode(np.clip(x, 0, 1))
    x = np.clip(x, 0, 1)
    if kind == 'gamma':
        return x ** (1 / k)
    v = encode(x)
    if kind == 's':
        return v * (1 - k) + k * v * v * (3 - 2 * v)
    if kind == 'lift':
        return k + (1 - k) * v
    return v


def lens(room, img):
    return ndi.gaussian_filter(img, (room['blur'], room['blur'], 0)) * room['vignette']


def shoot(room, light, rng, path):
    """Linear light behind the lens -> JPEG."""
    well = room['well']
    img = np.maximum(light, 0) * well
    img = img + rng.standard_normal(img.shape, dtype=F) * np.sqrt(img + room['read'] ** 2)
    img = img / well
    y, x, level = room['hot']
    img[y, x] += level * (1 + 0.08 * rng.standard_normal((len(y), 1)))
    v = tone(room, img)
    v = np.clip(v * 255 + rng.random(v.shape, dtype=F) - 0.5, 0, 255).round().astype(np.uint8)
    im = Image.fromarray(v)
    exif = Image.Exif()
    exif.get_ifd(0x8769).update({0x829A: (8, 1), 0x829D: (8, 1), 0x8827: 100})
    im.save(path, quality=room['quality'], subsampling=room['chroma'], exif=exif)


# --- truth -----------------------------------------------------------------------------------------------------------

def inside(room, cx, cy, turn, k=1.0):
    u, v = room['xy'][0] - cx, room['xy'][1] - cy
    t = np.deg2rad(turn)
    c, s = np.cos(t), np.sin(t)
    a, b = c * u + s * v, -s * u + c * v
    return (a / (room['rx'] * k)) ** 2 + (b / (room['ry'] * k)) ** 2 <= 1


def trail_truth(room, own, cx, cy, turn):
    """measuring.md's numbers for one ellipse, from the trail's own luminance."""
    mask = own > ev(-3)
    face = inside(room, cx, cy, turn)
    x, y = room['xy']
    out = mask & ~face
    ang = np.rad2deg(np.arctan2(y[out] - cy, x[out] - cx)) % 360
    coverage = len(np.unique((ang // 5).astype(int))) / 72
    # the same at the 72 rays themselves
    near = np.abs((ang + 2.5) % 5 - 2.5) < 0.4
    rays = len(np.unique(((ang[near] + 2.5) // 5).astype(int) % 72)) / 72
    gaps = []
    for half in (1.0, 0.5):
        above = mask & (np.abs(x - cx) <= half * room['rx']) & (y < cy - room['ry'])
        gaps.append(float((cy - room['ry'] - y[above].max()) / (2 * room['ry'])) if above.any() else None)
    return {'coverage': round(coverage, 4), 'coverageRays': round(rays, 4), 'crossing': round(float(mask[face].mean()), 5),
            'skirtsEv': round(float(np.log2(max(own[face].max(), 1e-6) / GREY)), 2),
            'headGap': gaps[0], 'headGapNarrow': gaps[1]}


# --- one room --------------------------------------------------------------------------------------------------------

HEADS = ['astronaut', 'drawn', 'drawn', 'astronaut-suit', 'cat', 'drawn', 'camera']
WALLS = ['plain', 'plaster', 'brick', 'curtain', 'gravel', 'boards', 'grass', 'plaster']
CURVES = [('srgb', 0), ('s', 0.3), ('film', 0), ('s', 0.6), ('gamma', 2.2), ('lift', 0.012), ('s', 0.45), ('gamma', 2.0),
          ('srgb', 0), ('gamma', 2.5)]
ODD = ['high', 'arch', 'aside', 'dashed', 'two', 'ten', 'behind', 'spiral', 'beside', 'crown', 'rays', 'eight']


def plan_frames(ids, number, rng):
    """What happens in each frame."""
    def trail(kinds):
        return kinds[rng.integers(len(kinds))]

    rings = ['loop', 'loop', 'two', 'spiral', 'ten', 'arch']
    misset = float(rng.choice([-2, -1.5, -1, -0.6, 0.5, 0.9, 1.3]))
    odd = [ODD[(2 * number + i) % len(ODD)] for i in range(2)]
    sides = [['left', 'right', 'top', 'bottom'][(number + i) % 4] for i in range(2)]
    b = ids[int(rng.integers(1, len(ids)))]
    frames = [
        {'trail': 'loop'},
        {'trail': trail(rings + ODD), 'off': ['A']},
        {'trail': trail(rings + ['cross']), 'off': [b]},
        {'trail': trail(rings), 'off': ids} if number % 2 else {'trail': None, 'off': ids if number % 4 == 0 else []},
        {'trail': trail(rings + ['behind']), 'set': {('A' if rng.random() < 0.5 else b): misset}},
        {'trail': 'cross'},
        {'trail': odd[0]},
        {'trail': odd[1], 'set': {'A': float(rng.uniform(-0.8, 0.8))} if rng.random() < 0.4 else {}},
        {'trail': trail(rings + [None, None]), 'leak': sides[0], 'off': [b] if rng.random() < 0.3 else []},
    ]
    if number % 3 == 0:
        frames.append({'trail': trail(['cross', 'loop']), 'leak': sides[1]})
    if number % 3 == 1:
        frames.append({'trail': None, 'set': {b: float(rng.uniform(-1.5, 1.2))}})
    return frames


def make_room(out, number, size, seed, curve=None, turns=1.5, flat=False):
    rng = np.random.default_rng([seed, number])
    shape = [(3, 2), (2, 3), (4, 3), (3, 2), (4, 5)][rng.integers(5)]
    w, h = (size, round(size * shape[1] / shape[0])) if shape[0] >= shape[1] else (round(size * shape[0] / shape[1]), size)
    ry = rng.uniform(0.12, 0.19) * min(w, h) * (1.0 if w >= h else 1.1)
    i = number - 1
    room = {'w': w, 'h': h, 'cx': w * rng.uniform(0.4, 0.6), 'cy': h * rng.uniform(0.42, 0.52), 'ry': ry,
            'rx': ry * rng.uniform(0.72, 0.84), 'head': HEADS[i % len(HEADS)], 'wall': WALLS[(i * 3 + 1) % len(WALLS)],
            'curve': curve or CURVES[(i * 7 + 2) % len(CURVES)], 'depth': rng.uniform(2.5, 14), 'blur': rng.uniform(0.4, 0.9),
            'well': rng.uniform(12000, 50000), 'read': rng.uniform(3, 8), 'quality': int(rng.integers(80, 96)),
            'chroma': int(rng.choice([0, 2, 2])), 'glow': rng.uniform(-1, 1, 2), 'glow_rgb': 1 + rng.uniform(-.25, .25, 3)}
    y, x = np.mgrid[0:h, 0:w].astype(F)
    room['xy'] = (x, y)
    grid = ((x - room['cx']) / ry, (y - room['cy']) / ry)
    r2 = ((x - w / 2) ** 2 + (y - h / 2) ** 2) / (w * w + h * h) * 4
    room['vignette'] = (1 - rng.uniform(0.08, 0.45) * r2 ** rng.uniform(0.9, 1.4))[..., None].astype(F)
    nhot = int(rng.integers(30, 220) * (size / 1500) ** 2) + 5
    tint = np.where(np.eye(3)[rng.integers(0, 3, nhot)] > 0, 1.0, rng.uniform(0, 0.35, (nhot, 3)))
    room['hot'] = (rng.integers(0, h, nhot), rng.integers(0, w, nhot), ev(rng.uniform(-5, 2, (nhot, 1))) * tint)
    maps0 = sitter(room, rng)
    wall = wall_albedo(room, rng)
    if flat:
        wall[:] = wall.mean((0, 1))
    key = int(rng.choice([-1, 1]))
    lights = [make_light('A', key, rng), make_light('B', -key, rng, behind=number % 5 == 0)]
    if number % 4 == 2:
        lights.append(make_light('C', int(rng.choice([-1, 1])), rng, behind=True))
    face0 = inside(room, room['cx'], room['cy'], 0)
    wall0 = ~inside(room, room['cx'], room['cy'], 0, 1.7) & (maps0[..., 7] < 0.01)
    for n, li in enumerate(lights):
        mean = luminance(flash_layers(li, room, maps0, wall, grid)[face0]).mean()
        want = ev(rng.uniform(*[(-0.6, 0.4), (-2.0, 0.1), (-4.0, -2.0)][n]))
        li['gain'] = float(want / mean)
        # a black room: the wall never gets much
        got = luminance(li['wall'] * li['gel'])[wall0].mean() * li['gain']
        li['wall'] *= min(1.0, float(ev(rng.uniform(-5, -2.8)) / got))
    dark_ev = rng.uniform(-8, -5)
    room['dark_gain'] = float(ev(dark_ev) / luminance(dark_layer(room, maps0, wall, grid)[wall0]).mean())

    folder = os.path.join(out, f'apart-{number:02d}')
    os.makedirs(os.path.join(folder, 'plates'), exist_ok=True)
    zones = {'face': {'cx': room['cx'] / w, 'cy': room['cy'] / h, 'rx': room['rx'] / w, 'ry': room['ry'] / h}}
    with open(os.path.join(folder, 'plates', 'zones.json'), 'w') as f:
        json.dump(zones, f, indent=1)

    def compose(maps, gains):
        total = dark_layer(room, maps, wall, grid)
        for li in lights:
            if gains.get(li['id']) is not None:
                total = total + flash_layers(li, room, maps, wall, grid) * 2.0**gains[li['id']]
        return total

    for name, gains in [('dark', {})] + [(f'light-{li["id"]}', {li['id']: 0.0}) for li in lights]:
        still = rng.uniform(-0.0015, 0.0015, 2) * w
        maps = pose(maps0, room, still[0], still[1], 0)
        shoot(room, lens(room, compose(maps, gains)), rng, os.path.join(folder, 'plates', name + '.jpg'))

    truths = []
    ids = [li['id'] for li in lights]
    for k, plan in enumerate(plan_frames(ids, number, rng), 1):
        frng = np.random.default_rng([seed, number, k])
        reach = frng.uniform(0, 0.02) * w
        way = frng.uniform(0, 6.28)
        dx, dy, turn = reach * np.cos(way), reach * np.sin(way) * 0.7, frng.uniform(-1.5, 1.5) / 1.5 * turns
        maps = pose(maps0, room, dx, dy, turn)
        gains = {i_: float(frng.normal(0, 0.05) + plan.get('set', {}).get(i_, 0)) for i_ in ids
                 if i_ not in plan.get('off', [])}
        total = compose(maps, gains)
        cx, cy = moved_ellipse(room, dx, dy, turn)
        truth = {'file': f'frame-{k}.jpg', 'plan': {**plan}, 'shift': [dx / w, dy / h, turn],
                 'lights': [{'id': i_, 'fired': i_ in gains, 'ev': gains.get(i_)} for i_ in ids],
                 'ambient': {'riseEv': 0, 'riseMedianEv': 0, 'side': None}, 'trail': None, 'doubtful': False}
        if plan.get('leak'):
            leak = {'side': plan['leak'], 'tau': frng.uniform(0.15, 0.5), 'kind': frng.choice(['soft', 'slit']),
                    'spread': frng.uniform(0.2, 0.5), 'at': frng.uniform(0.25, 0.75),
                    'rgb': np.array([(1, 0.7, 0.4), (1, 0.85, 0.6), (0.55, 0.8, 1.0)][frng.integers(3)], F)}
            seen = ~inside(room, cx, cy, turn, 1.7) & ~ndi.binary_dilation(maps[..., 7] > 0.01, iterations=int(0.01 * w))
            base = luminance(dark_layer(room, maps, wall, grid) * room['vignette'])[seen]
            layer = leak_layer(room, maps, wall, leak)
            extra = luminance(layer * room['vignette'])[seen]
            rise = min(frng.uniform(1, 5), -2.2 - dark_ev)
            gain = float(base.mean() * (2.0**rise - 1) / extra.mean())
            total = total + layer * gain
            truth['ambient'] = {'riseEv': round(rise, 3), 'side': leak['side'],
                                'riseMedianEv': round(float(np.log2(np.median(base + gain * extra) / np.median(base))), 3)}
        if plan['trail']:
            kind = plan['trail']
            tr = {'ev': frng.uniform(-1.5, 5), 'width': frng.uniform(0.003, 0.015), 'uneven': frng.uniform(0.05, 0.35),
                  'rgb': pick(frng, TRAIL_RGB), 'second': pick(frng, TRAIL_RGB) if frng.random() < 0.25 else None,
                  'dx': dx * frng.uniform(0, 1), 'dy': dy * frng.uniform(0, 1)}
            if kind == 'ten':
                tr['ev'], tr['width'] = min(tr['ev'], 3), min(tr['width'], 0.007)
            if kind == 'cross':
                tr['width'] = max(tr['width'], 0.006)
            own = paint(kind, room, tr, frng)
            if kind == 'behind':
                own *= 1 - maps[..., 7:8]
            bloom, veil = 10 ** frng.uniform(-3.6, -2.4), frng.uniform(0, 0.003)
            own = own * (1 - bloom - veil) + bloom * wide_blur(own, 2.5 * tr['width'] * w + 3) + veil * wide_blur(own, 0.07 * w)
            total = total + own
            lum = luminance(lens(room, own))
            truth['trailLight'] = {'ev': round(tr['ev'], 2), 'width': round(tr['width'], 4)}
            pixels = int((lum > ev(-3)).sum())
            truth['doubtful'] = pixels < 300 * (size / 1500) ** 2
            if pixels:
                moved = trail_truth(room, lum, cx, cy, turn)
                as_set = trail_truth(room, lum, room['cx'], room['cy'], 0)
                both = [moved, as_set]
                crossing = ('crossing' if min(b['crossing'] for b in both) >= 0.01 else
                            'none' if max(b['crossing'] for b in both) == 0 and max(b['skirtsEv'] for b in both) < -5
                            else 'between')
                truth['trail'] = {**moved, 'asSet': as_set, 'crossingClass': crossing}
        shoot(room, lens(room, total), frng, os.path.join(folder, truth['file']))
        truths.append(truth)
    about = {'head': room['head'], 'wall': room['wall'], 'curve': list(room['curve']), 'darkEv': round(float(dark_ev), 2),
             'quality': room['quality'], 'size': [w, h]}
    with open(os.path.join(folder, 'truth.json'), 'w') as f:
        json.dump({'room': about, 'frames': truths}, f, indent=1)
    print(folder, about, flush=True)
    return folder


def montage(folder):
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
    p.add_argument('--curve', default='', help='the same rooms through one tone curve: s:0.3, gamma:2.2, lift:0.01, film, srgb')
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
