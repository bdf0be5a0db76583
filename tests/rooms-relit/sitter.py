"""The sitter in the picture, at rest and as they sway: one layer that is bent at the neck.

All lengths in px; x right, y down, z to the camera, z = 0 in the plane of the sitter.
"""
from dataclasses import dataclass

import cv2
import numpy as np

from bust import new_bust
from cat_mask import new_cat
from light import F, smooth_step
from portraits import PORTRAITS, new_portrait
from texture import blur, pixels


@dataclass
class Pose:
    head: tuple = (0.0, 0.0)  # how far the head moves
    turn: float = 0.0  # degrees the head turns in the picture
    body: tuple = (0.0, 0.0)  # how far the body moves


def sway(rng, columns, spread, most):
    """A pose of somebody who sits still, more or less; spread and most of the head's way as shares of the width."""
    way = rng.normal(0, spread * columns, 2) * (1, 0.5)
    way = np.clip(way, -most * columns, most * columns)
    follow = rng.uniform(0.4, 0.85)
    # between plates hardly anybody turns
    turn = float(np.clip(rng.normal(0, 0.5), -1.5, 1.5)) if spread > 0.002 else float(rng.normal(0, 0.08))
    return Pose((float(way[0]), float(way[1])), turn, (float(way[0] * follow), float(way[1] * follow)))


def between(a, b):
    """a with its ways halfway to b's."""
    return Pose(tuple(0.5 * p + 0.5 * q for p, q in zip(a.head, b.head)), b.turn,
                tuple(0.5 * p + 0.5 * q for p, q in zip(a.body, b.body)))


@dataclass
class Posed:
    """A sitter in a pose. alpha and head are as large as the picture, all else is cropped to `rows`, `columns`."""
    alpha: np.ndarray
    head: np.ndarray
    rows: slice
    columns: slice
    albedo: np.ndarray
    normal: np.ndarray
    z: np.ndarray
    spec: np.ndarray
    gloss: np.ndarray
    skin: np.ndarray
    x: np.ndarray
    y: np.ndarray

    def crop(self, full):
        return full[self.rows, self.columns]


class Sitter:
    """cx, cy: centre of the head; rx, ry: its half width and height; head_height: 2 ry."""

    def __init__(self, rng, kind, shape, head_share, cx_share, cy_share):
        """shape: rows, columns of the picture; head_share: the head's height as a share of the picture's."""
        rows, columns = shape
        layer = new_layer(rng, kind, head_share * rows)
        self.note, self.tone = layer.note, layer.tone
        self.cx, self.cy, self.ry = cx_share * columns, cy_share * rows, head_share * rows / 2
        scale = head_share * rows / (2 * layer.ellipse[3])
        self.rx = layer.ellipse[2] * scale
        self.head_height = 2 * self.ry
        self.neck = np.array([self.cx, self.cy + self.ry * 1.1])
        self.shape = shape
        self.x, self.y = pixels(rows, columns)
        self.place(layer, scale)
        # 1 where all moves with the head, 0 where all moves with the body
        self.headness = (1 - smooth_step(self.cy + self.ry * 0.95, self.cy + self.ry * 1.75, self.y)).astype(F)

    def place(self, layer, scale):
        """The layer's maps, brought to their size and place in the picture."""
        cx, cy = layer.ellipse[:2]
        matrix = np.array([[scale, 0, self.cx - scale * cx], [0, scale, self.cy - scale * cy]])
        how = cv2.INTER_CUBIC if scale > 1.3 else cv2.INTER_LINEAR

        def put(image, beside=0):
            if scale < 0.9:
                image = blur(image, 0.45 / scale)
            return cv2.warpAffine(image, matrix, self.shape[::-1], flags=how, borderMode=cv2.BORDER_CONSTANT,
                                  borderValue=beside)

        inside = layer.alpha > 0.5
        height = np.where(inside, layer.height, layer.height[inside].min()).astype(F)
        self.alpha = np.clip(blur(put(layer.alpha), max(0.7, 0.45 * scale)), 0, 1)
        self.albedo = np.clip(put(bled(layer.albedo, inside)), 0.003, 0.92)
        self.normal = put(bled(layer.normal, inside))
        self.z = put(bled(height, inside)) * scale
        self.head = np.clip(put(layer.head), 0, 1)
        self.spec = np.clip(put(layer.spec), 0, 1)
        self.gloss = np.maximum(put(layer.gloss, 12), 4)
        self.skin = np.clip(put(layer.skin), 0, 1)

    def where(self, pose, point):
        """Where a point (2,) of the head at rest comes to lie."""
        a = np.radians(pose.turn)
        rotation = np.array([[np.cos(a), -np.sin(a)], [np.sin(a), np.cos(a)]])
        return rotation @ (np.asarray(point) - self.neck) + self.neck + np.array(pose.head)

    def source(self, pose):
        """Where at rest each pixel's part of the sitter was, x and y: where() the other way round, bent at the neck."""
        a = np.radians(pose.turn)
        c, s = np.cos(a), np.sin(a)
        dx, dy = self.x - F(self.neck[0] + pose.head[0]), self.y - F(self.neck[1] + pose.head[1])
        head_x, head_y = c * dx + s * dy + F(self.neck[0]), -s * dx + c * dy + F(self.neck[1])
        body_x, body_y = self.x - F(pose.body[0]), self.y - F(pose.body[1])
        w = self.headness
        return (w * head_x + (1 - w) * body_x).astype(F), (w * head_y + (1 - w) * body_y).astype(F)

    def posed(self, pose):
        from_x, from_y = self.source(pose)

        def moved(image):
            return cv2.remap(image, from_x, from_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)

        alpha, head = moved(self.alpha), moved(self.head)
        y, x = np.where(alpha > 0.004)
        rows = slice(max(y.min() - 2, 0), min(y.max() + 3, self.shape[0]))
        columns = slice(max(x.min() - 2, 0), min(x.max() + 3, self.shape[1]))
        from_x, from_y = from_x[rows, columns].copy(), from_y[rows, columns].copy()
        normal = moved(self.normal)
        normal = normal / (np.linalg.norm(normal, axis=2, keepdims=True) + 1e-6)
        return Posed(alpha, head, rows, columns, moved(self.albedo), normal, moved(self.z), moved(self.spec),
                     moved(self.gloss), moved(self.skin), self.x[rows, columns], self.y[rows, columns])


def new_layer(rng, kind, head_px):
    """The sitter of that kind, at a resolution of its own that suits a head of head_px."""
    if kind in PORTRAITS:
        return new_portrait(rng, kind)
    if kind == 'cat':
        return new_cat(rng, min(head_px, 260))
    return new_bust(rng, min(head_px, 300))


def bled(image, inside):
    """Values spread past the edge of `inside` (rows, columns), so that interpolation makes no dark rim."""
    weight = inside.astype(F)
    near = blur(weight, 3) + 1e-4
    if image.ndim == 3:
        weight, near, inside = weight[..., None], near[..., None], inside[..., None]
    return np.where(inside, image, blur(image * weight, 3) / near).astype(F)
