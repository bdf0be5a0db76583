"""A trail's own light in the picture, and what its lamp throws on sitter and wall.

Layers are linear light (rows, columns, 3) before the lens.
"""
from dataclasses import dataclass

import cv2
import numpy as np

from light import F, GREY, colour_of, linear, luminance, smooth_step
from shading import composed
from texture import blur, wander
from trail_paths import new_path

PALETTE = [(1, 1, 1), (1, 0.85, 0.65), (0.8, 0.9, 1), (1, 0.15, 0.05), (0.1, 0.25, 1), (0.1, 1, 0.25), (1, 0.1, 0.7),
           (0.05, 0.9, 1), (1, 0.55, 0.05), (0.6, 0.1, 1)]
COLOURINGS = ['one', 'one', 'two', 'rainbow', 'alternate']
COLOURING_ODDS = [0.5, 0.1, 0.15, 0.13, 0.12]
STEP = 0.4  # px between two samples of a stroke
MARGIN = 20  # px round the picture into which a trail may go on


@dataclass
class Look:
    dashed: bool
    lines: int  # side by side
    colouring: str
    first: np.ndarray  # (3,)
    second: np.ndarray
    hue: float  # where a rainbow starts, 0..1
    gap: float  # between the lines, px
    width: float  # px


@dataclass
class Bead:
    """A place along a trail, for the light it throws."""
    x: float  # px
    y: float
    hidden: bool
    light: np.ndarray  # (3,)


def draw_look(rng, kind, width, single):
    dashed = rng.random() < 0.25
    lines = 1 if rng.random() < 0.78 else int(rng.integers(2, 6))
    if single or kind in ('radial', 'writing'):
        lines = 1
    colouring = rng.choice(COLOURINGS, p=COLOURING_ODDS)
    first, second = [colour_of(linear(np.clip(PALETTE[rng.integers(len(PALETTE))], 0.24, 1))) for _ in (0, 1)]
    return Look(dashed, lines, colouring, first, second, rng.random(), width * rng.uniform(1.6, 3.2), width)


def trail_layer(rng, room, posed, kind, ev, width, centre, scale=1.0, single=False):
    """A trail's layer, its beads and a note; ev: stops of its core from middle grey; width in px; single: one line."""
    strokes, hidden = new_path(rng, kind, room, centre, scale)
    look = draw_look(rng, kind, width, single)
    # what passes before the sitter, and what behind
    planes = [np.zeros((room.rows + 2 * MARGIN, room.columns + 2 * MARGIN, 3), F) for _ in (0, 1)]
    beads = []
    for stroke, mask in zip(strokes, hidden):
        beads += expose(rng, look, stroke, mask, planes, max(2, 12 // len(strokes)))
    core = core_of(rng, posed, planes, ev, width)
    layer = with_halo(rng, core, room, width)
    return layer, beads, {'colour': str(look.colouring), 'lines': look.lines, 'dashed': bool(look.dashed)}


def expose(rng, look, stroke, hidden, planes, bead_count):
    """Adds a stroke (n, 2) to the planes as infinitely thin lines; returns its beads."""
    way = np.r_[0, np.cumsum(np.hypot(*np.diff(stroke, axis=0).T))]
    length = way[-1]
    count = int(length / STEP) + 8
    at = np.linspace(0, length, count)
    x, y = np.interp(at, way, stroke[:, 0]), np.interp(at, way, stroke[:, 1])
    behind = np.interp(at, way, hidden.astype(float)) > 0.5
    part = at / length
    light = along(rng, look, part, length)
    colour = colours(look, part, at)
    dx, dy = np.gradient(x), np.gradient(y)
    step = np.hypot(dx, dy) + 1e-9
    for line in range(look.lines):
        off = (line - (look.lines - 1) / 2) * look.gap
        line_x, line_y = x - dy / step * off + MARGIN, y + dx / step * off + MARGIN
        rows, columns = planes[0].shape[:2]
        inside = (line_x > 1) & (line_y > 1) & (line_x < columns - 3) & (line_y < rows - 3)
        for plane, side in zip(planes, (~behind, behind)):
            g = inside & side
            if g.any():
                splat(plane, line_x[g], line_y[g], light[g], colour[g])
    picked = np.linspace(0, count - 1, bead_count).astype(int)
    return [Bead(x[i], y[i], behind[i], colour[i] * light[i]) for i in picked]


def along(rng, look, part, length):
    """Light (n,) along a stroke, part 0..1 of its length in px: the slower the hand the brighter."""
    speed = np.exp(0.38 * wander(rng, len(part), 7))
    light = 1 / (speed / speed.mean())
    for from_end in (part, 1 - part):  # the hand starts and stops
        light = light * (1 + 0.8 * np.exp(-from_end * length / (look.width * 0.8)) * rng.uniform(0, 1))
    if look.dashed:
        period = rng.uniform(3, 9) * look.width
        time = np.cumsum(light) * STEP
        light = light * smooth_step(-0.15, 0.15, np.sin(2 * np.pi * time / period) + rng.uniform(-0.2, 0.4))
    return light


def colours(look, part, at):
    """Colours (n, 3) along a stroke: part 0..1 of its length, at in px."""
    if look.colouring == 'one':
        return np.repeat(look.first[None], len(part), 0)
    if look.colouring == 'two':
        return look.first[None] * (1 - part[:, None]) + look.second[None] * part[:, None]
    if look.colouring == 'rainbow':
        table = np.array([colour_of(0.05 + rainbow(look.hue + k / 64.0)) for k in range(64)])
        return table[(part * 80).astype(int) % 64]
    return np.where((np.sin(at / (14 * look.width)) > 0)[:, None], look.first[None], look.second[None])


def rainbow(hue):
    """Linear light (3,) of a pure hue 0..1."""
    return linear(cv2.cvtColor(np.array([[[(hue % 1) * 360, 1.0, 1.0]]], F), cv2.COLOR_HSV2RGB)[0, 0])


def splat(plane, x, y, light, colour):
    """Adds points (n,) to a plane, each shared among its four nearest pixels."""
    columns = plane.shape[1]
    flat = plane.reshape(-1, 3)
    col, row = x.astype(int), y.astype(int)
    fx, fy = x - col, y - row
    for right, down, share in ((0, 0, (1 - fx) * (1 - fy)), (1, 0, fx * (1 - fy)), (0, 1, (1 - fx) * fy),
                               (1, 1, fx * fy)):
        index = (row + down) * columns + col + right
        for c in range(3):
            flat[:, c] += np.bincount(index, share * light * colour[:, c], minlength=flat.shape[0]).astype(F)


def core_of(rng, posed, planes, ev, width):
    """The planes' lines made as wide as the lamp, the hidden ones hidden, brought to ev."""
    half = width / 2
    size = int(2 * np.ceil(half + 2) + 1)
    y, x = np.mgrid[:size, :size] - size // 2
    lamp = np.clip(half + 0.5 - np.hypot(x, y), 0, 1) ** rng.uniform(0.5, 1)
    lamp = (lamp / lamp.sum()).astype(F)
    inner = slice(MARGIN, -MARGIN)
    before, behind = [(cv2.filter2D(one, -1, lamp) if one.any() else one)[inner, inner] for one in planes]
    core = before + behind * (1 - posed.alpha[..., None])
    full = luminance(before + behind)
    lit = full[full > 0.15 * full.max()] if full.max() > 0 else np.ones(1)
    return core * F(GREY * 2 ** ev / np.percentile(lit, 85))


def with_halo(rng, core, room, width):
    """A trail with its glare: a narrow one, and two wide ones worked out at a quarter of the size."""
    narrow = blur(core, width * rng.uniform(0.8, 1.6)) * rng.uniform(0.05, 0.22)
    small = cv2.resize(core, (room.columns // 4, room.rows // 4), interpolation=cv2.INTER_AREA)
    wide = (blur(small, rng.uniform(4, 8) * room.px) * rng.uniform(0.012, 0.04)
            + blur(small, rng.uniform(14, 24) * room.px) * rng.uniform(0.003, 0.010))
    return core + narrow + cv2.resize(wide, (room.columns, room.rows))


def thrown_light(rng, room, posed, beads):
    """The soft light of the moving lamp on sitter and wall, of no certain strength; at a quarter of the size."""
    def quarter(image):
        return cv2.resize(image, None, fx=1 / 4, fy=1 / 4, interpolation=cv2.INTER_AREA)

    def whole(image, rows, columns):
        return cv2.resize(image, (columns, rows), interpolation=cv2.INTER_LINEAR)

    s, head = room.sitter, room.sitter.head_height
    n, z, x, y = quarter(posed.normal), quarter(posed.z), quarter(posed.x), quarter(posed.y)
    wall_x, wall_y = quarter(s.x), quarter(s.y)
    on_sitter, on_wall = np.zeros(n.shape, F), np.zeros(wall_x.shape + (3,), F)
    before = rng.uniform(0.0, 0.5) * head
    for bead in beads:
        bead_z = -0.9 * head if bead.hidden else before
        dx, dy, dz = bead.x - x, bead.y - y, bead_z - z
        r2 = dx * dx + dy * dy + dz * dz + (0.12 * head) ** 2
        cosine = (n[..., 0] * dx + n[..., 1] * dy + n[..., 2] * dz) / np.sqrt(r2)
        on_sitter += (np.clip(cosine + 0.05, 0, None) / r2)[..., None] * bead.light * head * head
        off_wall = max(bead_z - room.wall_z, 0.3 * head)
        r2 = (bead.x - wall_x) ** 2 + (bead.y - wall_y) ** 2 + off_wall * off_wall
        on_wall += (off_wall / r2 ** 1.5)[..., None] * bead.light * head * head
    return composed(posed, room.wall_albedo * room.wall_normal[..., 2:3] * whole(on_wall, room.rows, room.columns),
                    posed.albedo * whole(on_sitter, *posed.z.shape))
