"""What falls on sitter and wall: each flash and the dark room's own glow.

All are layers of linear light (rows, columns, 3) before the lens that only need adding.
"""
from dataclasses import dataclass

import cv2
import numpy as np

from light import F
from sitter import Sitter
from texture import blur, unit

WRAP = np.array([0.20, 0.10, 0.07], F)  # how far red, green and blue creep round skin
NOTHING = -1e4  # height where there is no sitter


@dataclass
class Glow:
    """The dark room's own light."""
    colour: np.ndarray  # (3,)
    aside: float  # from where it falls on the sitter
    across: float  # how it changes from left to right
    down: float  # and from top to bottom
    on_sitter: float  # strength on the sitter against that on the wall
    strength: float = 1.0


@dataclass
class Room:
    columns: int
    rows: int
    px: float  # how many px of this picture one px of a picture 1500 px long is
    sitter: Sitter
    wall_z: float  # below 0, px
    wall_albedo: np.ndarray  # (rows, columns, 3)
    wall_normal: np.ndarray  # (rows, columns, 3)
    white: np.ndarray  # (3,) what the camera shows as white; lamps' colours are already divided by it
    glow: Glow = None


def composed(posed, wall, sitter):
    """The sitter's crop laid over the wall."""
    out = wall * (1 - posed.alpha[..., None])
    out[posed.rows, posed.columns] += sitter * posed.crop(posed.alpha)[..., None]
    return out


def glow_layer(room, posed):
    """The dark room."""
    g, s = room.glow, room.sitter
    facing = 0.5 + 0.5 * (posed.normal @ unit(np.array([g.aside, -0.7, 0.5])).astype(F))
    field = 1 + g.across * (s.x / room.columns - 0.5) + g.down * (s.y / room.rows - 0.5)
    wall = room.wall_albedo * (field * (0.6 + 0.4 * room.wall_normal[..., 2]))[..., None] * g.colour * g.strength
    sitter = posed.albedo * (facing * posed.crop(field))[..., None] * g.colour * (g.strength * g.on_sitter)
    return composed(posed, wall, sitter)


def flash_layer(room, lamp, posed):
    """A flash at its power, without the dark room."""
    bounce = posed.albedo * lamp.colour * F(lamp.bounce * 0.8) * (0.6 + 0.4 * posed.normal[..., 2:3])
    sitter = (on_sitter(room, lamp, posed) + bounce) * F(lamp.power)
    return composed(posed, lamp.on_wall * wall_shadow(room, lamp, posed), sitter)


def on_sitter(room, lamp, posed):
    """A flash of power 1 on the sitter's crop."""
    n = posed.normal
    lx, ly, lz = lamp.place[0] - posed.x, lamp.place[1] - posed.y, lamp.place[2] - posed.z
    r = np.sqrt(lx * lx + ly * ly + lz * lz)
    light = lamp.pool.light(-lx, -ly, -lz, r) * F(room.sitter.head_height ** 2) / (r * r)
    lx, ly, lz = lx / r, ly / r, lz / r
    cosine = n[..., 0] * lx + n[..., 1] * ly + n[..., 2] * lz
    seen = 1 - self_shadow(room, lamp, posed)
    wrap = WRAP * posed.skin[..., None] + 0.02
    diffuse = np.clip((cosine[..., None] + wrap) / (1 + wrap), 0, None) * np.maximum(seen[..., None], 0)
    shine = shine_of(posed, cosine, lx, ly, lz) * seen
    return ((posed.albedo * diffuse + shine[..., None]) * light[..., None] * lamp.colour).astype(F)


def shine_of(posed, cosine, lx, ly, lz):
    """Highlights (rows, columns) for unit ways lx, ly, lz to the light and its cosine to the surface."""
    n = posed.normal
    half_z = lz + 1
    length = np.sqrt(lx * lx + ly * ly + half_z * half_z) + 1e-6
    near = np.clip((n[..., 0] * lx + n[..., 1] * ly + n[..., 2] * half_z) / length, 0, 1)
    grazing = 1 + 6 * (1 - np.clip(half_z / length, 0, 1)) ** 3
    return (posed.spec * grazing * (posed.gloss + 8) / 8 * near ** posed.gloss * (cosine > 0)
            * np.clip(cosine * 4, 0, 1))


def self_shadow(room, lamp, posed):
    """0 lit .. 1 in the sitter's own shadow, for the crop: marched over the height map, at a third of its size."""
    head_height, px = room.sitter.head_height, room.px
    small = max(1, round(3 * px))
    rows, columns = posed.z.shape
    z = cv2.resize(np.where(posed.crop(posed.alpha) > 0.5, posed.z, NOTHING).astype(F), None, fx=1 / small,
                   fy=1 / small, interpolation=cv2.INTER_NEAREST)
    shadow = np.zeros_like(z)
    way = unit(np.array([lamp.place[0] - lamp.head[0], lamp.place[1] - lamp.head[1], lamp.place[2]]))
    flat = np.hypot(way[0], way[1])
    if flat > 0.08:  # else it comes from the camera
        x, y, rise = way[0] / flat, way[1] / flat, way[2] / flat
        step = 5.0 * px
        while step < 1.7 * head_height:
            shift = np.array([[1, 0, -x * step / small], [0, 1, -y * step / small]])
            toward = cv2.warpAffine(z, shift, z.shape[::-1], flags=cv2.INTER_NEAREST, borderValue=NOTHING)
            above = toward - (z + rise * step + 1.5 * px)
            cast = np.clip(above / (lamp.size * step + 2 * px), 0, 1)
            if way[2] < 0:  # from behind: light passes where the sitter is no thicker than that
                cast = cast * (above < 1.1 * head_height)
            shadow = np.maximum(shadow, cast)
            step = step * 1.13 + 1 * px
    return cv2.resize(blur(shadow.astype(F), 1.2), (columns, rows), interpolation=cv2.INTER_LINEAR)


def wall_layer(room, lamp):
    """A flash of power 1 on the bare wall."""
    n, s = room.wall_normal, room.sitter
    dx, dy, dz = s.x - F(lamp.place[0]), s.y - F(lamp.place[1]), F(room.wall_z - lamp.place[2])
    r = np.sqrt(dx * dx + dy * dy + dz * dz)
    cosine = np.clip(-(n[..., 0] * dx + n[..., 1] * dy + n[..., 2] * dz) / r, 0, None)
    light = lamp.pool.light(dx, dy, dz, r)
    if lamp.hit is not None:
        light = light + lamp.hit.light(dx, dy, dz, r)
    light = light * cosine * F(s.head_height ** 2) / (r * r)
    return (room.wall_albedo * (light + F(lamp.bounce) * n[..., 2])[..., None] * lamp.colour).astype(F)


def wall_shadow(room, lamp, posed):
    """What the sitter leaves of a flash on the wall, 0..1 (rows, columns, 1), worked out at a quarter of the size."""
    x, y, z = lamp.place
    if z < 20 * room.px:
        return 1
    small = 4
    size = (room.columns // small, room.rows // small)
    # each place of the wall, seen from the lamp, against the sitter's plane
    t = (0 - room.wall_z) / (z - room.wall_z)
    matrix = np.array([[1 - t, 0, x * t / small], [0, 1 - t, y * t / small]])
    alpha = cv2.resize(posed.alpha, size, interpolation=cv2.INTER_AREA)
    shadow = cv2.warpAffine(alpha, matrix, size, flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
                            borderMode=cv2.BORDER_REPLICATE)
    shadow = blur(shadow, max(1.5 * room.px, abs(room.wall_z) * lamp.size * 0.6 / small))
    return (1 - 0.97 * cv2.resize(shadow, (room.columns, room.rows)))[..., None]
