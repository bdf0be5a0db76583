"""Somebody with a cat's face for a mask, ears and all."""
import cv2
import numpy as np
from skimage import data

from bust import new_bust
from light import F, linear, luminance
from texture import blur, cloud, normals, pixels, slopes

FACE = (238, 146, 165, 143)  # the cat's in its picture: centre x, y, half width, half height, px
EAR = ((0.28, -0.80), (0.72, -1.28), (0.95, -0.32))  # corners of one, in half head widths and heights


def new_cat(rng, head_px):
    """A bust whose head is head_px high, with the mask."""
    layer = new_bust(rng, head_px, hair='crop', hat='none', glasses=False, beard=False, yaw=rng.uniform(-10, 10))
    cx, cy, rx, ry = layer.ellipse
    rx *= 1.12
    rows, columns = layer.alpha.shape
    x, y = pixels(rows, columns)
    u, v = (x - cx) / rx, (y - cy) / ry
    r2 = u * u + v * v
    face = linear(data.chelsea() / 255.0)
    albedo = cv2.remap(face, (FACE[0] + u * FACE[2]).astype(F), (FACE[1] + v * FACE[3]).astype(F), cv2.INTER_CUBIC,
                       borderMode=cv2.BORDER_REFLECT)
    albedo = np.clip(albedo, 0.005, 0.9)
    ears = (ear_mask(cx, cy, rx, ry, (rows, columns)) * (r2 >= 1)) > 0
    height = mask_height(u, v, rx, albedo, ears)
    fur = np.array([0.35, 0.2, 0.11], F) * (1 + 0.2 * cloud(rng, (rows, columns), 6))[..., None]
    albedo = np.where(ears[..., None], fur, albedo)
    cover = (r2 < 1) | ears
    layer.albedo = np.where(cover[..., None], albedo, layer.albedo).astype(F)
    layer.normal = np.where(cover[..., None], normals(*slopes(blur(height, 1.5))), layer.normal).astype(F)
    layer.height = np.where(cover, height, layer.height).astype(F)
    layer.alpha = np.maximum(layer.alpha, cover.astype(F))
    layer.head = np.maximum(layer.head, cover.astype(F))
    layer.spec = np.where(cover, 0.02, layer.spec).astype(F)
    layer.skin = layer.skin * (1 - cover.astype(F))
    layer.ellipse = (cx, cy - ry * 0.04, rx, ry * 1.06)
    layer.note, layer.tone = 'cat mask on ' + layer.note, 0.4
    return layer


def ear_mask(cx, cy, rx, ry, shape):
    """1 inside the ears, (rows, columns)."""
    mask = np.zeros(shape, np.uint8)
    for side in (-1, 1):
        corners = [[cx + side * rx * across, cy + ry * down] for across, down in EAR]
        cv2.fillPoly(mask, [np.array(corners, np.int32)], 1)
    return mask


def mask_height(u, v, rx, albedo, ears):
    """(rows, columns) px towards the camera: a dome with a muzzle, fine relief from the picture, ears behind it."""
    r2 = u * u + v * v
    muzzle = 0.18 * rx * np.exp(-((u - 0.1) / 0.22) ** 2 - ((v - 0.55) / 0.3) ** 2)
    height = np.sqrt(np.maximum(1 - r2, 0)) * rx * 1.1 + 0.1 * rx + muzzle
    bright = luminance(albedo) ** 0.4
    height = height + (blur(bright, 1) - blur(bright, 6)) * 10
    return np.where(ears, -10 - 12 * np.abs(np.abs(u) - 0.65) * 2, height).astype(F)
