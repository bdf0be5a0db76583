"""Sitters out of photographs: scikit-image's public-domain pictures, given a shape so that they can be lit anew.

Places in a picture are x, y in its px; maps are (rows, columns).
"""
from dataclasses import dataclass

import cv2
import numpy as np
from skimage import data

from layer import FAR, MAPS, Layer
from light import F, linear, luminance, smooth_step
from texture import blur, normals, pixels, slopes


@dataclass
class Portrait:
    picture: str
    head: tuple  # centre x, y, half width, half height
    chin: int  # its y
    likely: list  # outline of what is probably sitter
    surely: list  # outline of what surely is
    front: tuple = None  # eyes, nose and mouth of a face that looks at the camera
    profile: tuple = None  # bumps of a face that looks aside: x, y, half widths, height, px


PORTRAITS = {
    'astronaut': Portrait(
        'astronaut', head=(226, 100, 75, 86), chin=186,
        likely=[(15, 511), (15, 330), (60, 250), (110, 210), (115, 150), (180, 140), (280, 140), (310, 200), (360, 290),
                (370, 340), (500, 360), (505, 511)],
        surely=[(40, 500), (60, 320), (130, 240), (200, 175), (240, 180), (290, 250), (330, 300), (340, 500)],
        front=((199, 101), (249, 104), (222, 122), (223, 144))),
    'cameraman': Portrait(
        'camera', head=(220, 126, 53, 64), chin=186,
        likely=[(0, 511), (0, 240), (50, 150), (100, 115), (160, 120), (200, 180), (270, 175), (260, 230), (330, 200),
                (330, 300), (200, 330), (160, 511)],
        surely=[(20, 480), (30, 250), (90, 170), (140, 140), (190, 190), (200, 240), (170, 320), (120, 400),
                (130, 490)],
        profile=((268, 134, 9, 9, 6), (246, 112, 7, 5, -5), (258, 180, 12, 8, 4))),
}


def new_portrait(rng, kind):
    """A layer of one of PORTRAITS, mirrored or not."""
    about = PORTRAITS[kind]
    image = getattr(data, about.picture)()
    grey = image.ndim == 2
    if grey:
        image = cv2.cvtColor(image, cv2.COLOR_GRAY2RGB)
    mask = cut_out(np.ascontiguousarray(image[:, :, ::-1]), about)
    flip = rng.random() < 0.5
    alpha = mask.astype(F)
    albedo = linear(image / 255.0)
    if grey:
        albedo = tinted(albedo)
    shade = luminance(albedo)
    x, y = pixels(*mask.shape)
    cx, cy, rx, ry = about.head
    r2 = ((x - cx) / (rx * 1.05)) ** 2 + ((y - cy) / (ry * 1.06)) ** 2  # 1 at the rim of the head
    height = shape_of(about, mask, x, y, r2, shade)
    skin = (r2 < 0.8) & (y > cy - 0.25 * ry)
    layer = Layer(albedo=even_out(albedo, shade, alpha), normal=normals(*slopes(height)),
                  height=np.where(alpha > 0, height, FAR).astype(F), alpha=blur(alpha, 0.7),
                  head=(alpha * (r2 < 1.12) * (y < about.chin + 2)).astype(F), spec=(0.03 * alpha).astype(F),
                  gloss=np.full(mask.shape, 14, F), skin=(skin * alpha).astype(F), ellipse=about.head,
                  note=f'photo {kind} flip={flip}', tone=0.5 if grey else 0.2)
    carry_on_below(layer)
    return mirrored(layer) if flip else layer


def cut_out(image, about):
    """Which pixels are sitter, 1 or 0; image: blue, green, red, 8 bits."""
    centre, radii = about.head[:2], about.head[2:]

    def region(wide, high, outline):
        a = np.zeros(image.shape[:2], np.uint8)
        cv2.ellipse(a, centre, (int(radii[0] * wide), int(radii[1] * high)), 0, 0, 360, 1, -1)
        cv2.fillPoly(a, [np.array(outline)], 1)
        return a > 0

    guess = np.full(image.shape[:2], cv2.GC_BGD, np.uint8)
    guess[region(1.18, 1.12, about.likely)] = cv2.GC_PR_FGD
    guess[region(0.78, 0.82, about.surely)] = cv2.GC_FGD
    cv2.setRNGSeed(7)  # the cut uses chance: the same for every room
    cv2.grabCut(image, guess, None, np.zeros((1, 65)), np.zeros((1, 65)), 5, cv2.GC_INIT_WITH_MASK)
    mask = ((guess == cv2.GC_FGD) | (guess == cv2.GC_PR_FGD)).astype(np.uint8)
    _, labels, stats, _ = cv2.connectedComponentsWithStats(mask)
    mask = (labels == 1 + np.argmax(stats[1:, cv2.CC_STAT_AREA])).astype(np.uint8)
    mask = cv2.morphologyEx(mask, cv2.MORPH_CLOSE, np.ones((7, 7)))
    return cv2.morphologyEx(mask, cv2.MORPH_OPEN, np.ones((3, 3)))


def tinted(albedo):
    """A grey picture in colours: skin where it is bright, a little blue where it is dark."""
    bright = smooth_step(0.03, 0.12, blur(luminance(albedo), 1))[..., None]
    return (albedo * (bright * np.array([1.15, 0.92, 0.76]) + (1 - bright) * np.array([1.0, 0.95, 0.95]))).astype(F)


def even_out(albedo, shade, alpha):
    """Takes part of the photograph's own light away."""
    around = blur(shade * alpha, 30) / (blur(alpha, 30) + 1e-3)
    albedo = albedo * (np.clip(around.mean() / (around + 0.02), 0.5, 2) ** 0.35)[..., None]
    return np.clip(albedo, 0.004, 0.9).astype(F)


def shape_of(about, mask, x, y, r2, shade):
    """Height in px: a dome over the outline, the head's ellipsoid with its features, fine relief from the picture."""
    rows, columns = mask.shape
    _, cy, rx, _ = about.head
    wide = cv2.copyMakeBorder(mask, 0, 80, 80, 80, cv2.BORDER_REPLICATE)
    edge = np.minimum(cv2.distanceTransform(wide, cv2.DIST_L2, 5)[:rows, 80:80 + columns], 70.0)
    body = np.sqrt(np.maximum(edge * (2 * 70 - edge), 0)) * 1.0 - 60
    body = blur(body, 4) + 0.05 * (y - cy)
    head = np.sqrt(np.maximum(1 - r2, 0)) * rx * 1.15 + 8
    head = np.where(r2 < 1, head, -200)
    height = blur(np.maximum(body, head + features(about, x, y)).astype(F), 2.2)
    # the picture tells no height: what is brighter than its surroundings is taken to stand out
    bright = shade ** 0.4
    return height + (blur(bright, 0.8) - blur(bright, 5)) * 4


def features(about, x, y):
    """Height in px of eyes, nose, mouth, chin and cheeks."""
    def bump(at_x, at_y, wide, high, up):
        return up * np.exp(-((x - at_x) / wide) ** 2 - ((y - at_y) / high) ** 2)

    if about.profile:
        return sum(bump(*one) for one in about.profile)
    k = about.head[2] / 75.0
    left, right, (nose_x, nose_y), (mouth_x, mouth_y) = about.front
    total = 0
    for eye_x, eye_y in (left, right):
        total = total + bump(eye_x, eye_y, 15 * k, 9 * k, -8 * k)
    mid_x, mid_y = (left[0] + right[0]) / 2, (left[1] + right[1]) / 2
    for t in np.linspace(0, 1, 6):  # down the bridge of the nose
        total = total + bump(mid_x + (nose_x - mid_x) * t, mid_y + (nose_y - mid_y) * t, (6 + 4 * t) * k, 9 * k,
                             (1.0 + 1.4 * t) * k)
    total = (total + bump(mouth_x, mouth_y - 3 * k, 17 * k, 7 * k, 3 * k)
             + bump(mouth_x, mouth_y + 8 * k, 14 * k, 4 * k, -2 * k)
             + bump(mouth_x, about.chin - 12 * k, 14 * k, 11 * k, 6 * k))
    for side in (-1, 1):
        total = total + bump(mid_x + side * 37 * k, nose_y - 2 * k, 16 * k, 14 * k, 5 * k)
    return total


def carry_on_below(layer):
    """Goes on below the picture's lower edge, into an even cloth."""
    rows = len(layer.alpha)
    extra = int(rows * 0.6)
    for name in MAPS:
        setattr(layer, name, cv2.copyMakeBorder(getattr(layer, name), 0, extra, 0, 0, cv2.BORDER_REPLICATE))
    layer.head[rows:] = 0
    layer.skin[rows:] = 0
    keep = np.exp(-np.arange(extra) / (rows * 0.10))[:, None, None]
    mean = blur(layer.albedo[rows - 30:rows].mean(0, keepdims=True), 25)
    layer.albedo[rows:] = layer.albedo[rows:] * keep + mean * 0.5 * (1 - keep)
    layer.normal[rows:] = blur(layer.normal[rows:], 6)


def mirrored(layer):
    for name in MAPS:
        setattr(layer, name, np.ascontiguousarray(getattr(layer, name)[:, ::-1]))
    layer.normal[..., 0] *= -1
    cx, cy, rx, ry = layer.ellipse
    layer.ellipse = (layer.alpha.shape[1] - cx, cy, rx, ry)
    return layer
