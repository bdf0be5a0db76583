"""The sitter: head, neck and shoulders, at rest and as they move between the pictures."""
from dataclasses import dataclass, fields

import numpy as np
from scipy import ndimage as ndi

from chance import cloud, pick
from heads import drawn_head, portrait_head, portrait_suit
from linear import F, smooth

CLOTHS = [(0.02, 0.02, 0.022), (0.05, 0.05, 0.06), (0.3, 0.05, 0.04), (0.08, 0.12, 0.25), (0.22, 0.21, 0.19)]


@dataclass
class Sitter:
    albedo: np.ndarray  # (rows, columns, 3)
    normal: np.ndarray  # (rows, columns, 3) right, down, to the camera
    z: np.ndarray  # (rows, columns) h
    mask: np.ndarray  # (rows, columns) 0..1


def body_shape(u, v, rng):
    """Masks 0..1 of torso and throat, then their heights in h; all (rows, columns), for places u, v in h."""
    wide, drop, neck = rng.uniform(1.7, 2.5), rng.uniform(1.15, 1.4), rng.uniform(0.36, 0.5)
    out = np.abs(u) / wide
    edge = (v - drop - 0.4 * out ** rng.uniform(1.6, 2.6) - 0.7 * out**7) / (1 + 5 * np.minimum(out, 1.3) ** 6)
    necking = np.minimum(neck - np.abs(u), v - 0.5)
    torso = smooth(-0.03, 0.03, edge)
    throat = smooth(-0.03, 0.03, necking)
    z_torso = -0.5 + 0.9 * np.sqrt(np.clip(1 - (u / (wide + 0.2)) ** 2, 0, 1)) - 0.7 * np.exp(-np.clip(edge, 0, 9) * 4)
    z_throat = -0.5 + 0.6 * np.sqrt(np.clip(1 - (u / (neck + 0.05)) ** 2, 0, 1))
    return torso.astype(F), throat.astype(F), z_torso.astype(F), z_throat.astype(F)


def new_sitter(room, rng):
    """The sitter of a room, at rest."""
    h, w, px, u, v = room.h, room.w, room.ry, room.u, room.v
    a = room.rx / px
    flip = -1 if rng.random() < 0.5 else 1
    cloth = pick(rng, CLOTHS)
    torso, throat, z_torso, z_throat = body_shape(u, v, rng)
    folds = cloud(rng, (h, w), px * 0.3)
    weave = 1 + 0.12 * cloud(rng, (h, w), max(px * 0.02, 1.0))
    cloth_map = cloth * (weave * (1 + 0.15 * folds))[..., None]
    z_torso = z_torso + 0.04 * folds
    if room.head == 'drawn':
        albedo, z_head, head = drawn_head(u / 0.97, v / 0.97, a, rng, px)
        skin = albedo[int(room.cy + 0.3 * px), int(np.clip(room.cx, 0, w - 1))]
    else:
        albedo, z_head, head, skin = portrait_head(room.head, u, v, a, flip, px)
    if room.head == 'astronaut-suit':
        torso, z_torso = portrait_suit(room.head, u, v, a, flip, px)
        cloth_map, throat = albedo, np.zeros_like(torso)
    base = cloth_map * torso[..., None] + np.array(skin, F) * 0.8 * (1 - torso)[..., None]
    under = np.clip(torso + throat, 0, 1)
    z_under = np.where(torso > 0.5, z_torso, z_throat)
    hm = head[..., None]
    albedo = albedo * hm + base * (1 - hm)
    z = z_head * head + z_under * (1 - head)
    mask = np.clip(head + under * (1 - head), 0, 1)
    z = ndi.gaussian_filter(z.astype(F), 0.8)
    gy, gx = np.gradient(z * px)
    normal = np.stack([-gx, -gy, np.ones_like(gx)], -1)
    normal /= np.linalg.norm(normal, axis=-1, keepdims=True)
    return Sitter(albedo.astype(F), normal.astype(F), z.astype(F), mask.astype(F))


def pose(sitter, room, dx, dy, turn):
    """The sitter shifted by dx, dy px and turned by degrees about the neck."""
    t = np.deg2rad(turn)
    c, s = np.cos(t), np.sin(t)
    pivot = np.array([room.cy + 1.5 * room.ry, room.cx])
    m = np.array([[c, -s], [s, c]])  # output (row, col) -> input
    off = pivot - m @ (pivot + np.array([dy, dx]))

    def moved(plane):
        return ndi.affine_transform(plane, m, off, order=1, mode='nearest')

    maps = [getattr(sitter, field.name) for field in fields(sitter)]
    return Sitter(*(moved(one) if one.ndim == 2 else np.stack([moved(one[..., c]) for c in range(one.shape[2])], -1)
                    for one in maps))


def moved_centre(room, dx, dy, turn):
    """Where the face's centre comes to lie in that pose, x, y in px: pose()'s map the other way round."""
    t = np.deg2rad(turn)
    c, s = np.cos(t), np.sin(t)
    ox, oy = 0.0, -1.5 * room.ry  # from the neck
    x, y = c * ox - s * oy, s * ox + c * oy
    return room.cx + dx + x, room.cy + 1.5 * room.ry + dy + y
