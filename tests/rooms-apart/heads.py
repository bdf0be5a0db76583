"""Heads: cut out of scikit-image's public-domain pictures, or drawn.

A head is its albedo (rows, columns, 3), its height z in h and its mask 0..1, both (rows, columns). u, v are the pixels'
places (rows, columns) in h from the face's centre, a is half the face's width in h, px how many pixels an h has.
"""
import numpy as np
from PIL import Image, ImageDraw
from scipy import ndimage as ndi
from skimage import data

from chance import cloud, pick
from linear import F, linear, luminance, smooth

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
    'astronaut-suit': ('astronaut', ASTRONAUT_HEAD, (227, 102, 76, 91)),
    'camera': ('camera', CAMERA_HEAD, (213, 130, 62, 70)),
    'cat': ('chelsea', None, (212, 152, 172, 150)),
}
OUTLINED_ROWS = 720  # outlines reach below their picture
SKINS = [(0.62, 0.42, 0.31), (0.5, 0.31, 0.21), (0.3, 0.17, 0.1), (0.12, 0.065, 0.04), (0.7, 0.52, 0.42)]
HAIRS = [(0.02, 0.017, 0.015), (0.08, 0.045, 0.025), (0.35, 0.24, 0.11), (0.25, 0.09, 0.035), (0.4, 0.4, 0.4)]


def polygon(columns, points, feather):
    """A soft mask (OUTLINED_ROWS, columns) of what the points (x, y) enclose."""
    im = Image.new('L', (columns, OUTLINED_ROWS), 0)
    ImageDraw.Draw(im).polygon([tuple(p) for p in points], fill=255)
    return ndi.gaussian_filter(np.asarray(im, F) / 255, feather)


def in_portrait(kind, u, v, a, flip):
    """Where in its picture each pixel lies, (2, rows, columns): row, column; mirrored where flip is -1."""
    ox, oy, orx, ory = PORTRAITS[kind][2]
    return np.array([oy + v * ory * 0.97, ox + flip * (u / a) * orx * 0.97])


def portrait_head(kind, u, v, a, flip, px):
    """A head out of its picture; and its skin's albedo (3,)."""
    name, outline, _ = PORTRAITS[kind]
    src = getattr(data, name)()
    if src.ndim == 2:
        src = np.repeat(src[..., None], 3, 2)
    src = linear(src)
    if kind == 'camera':  # a grey picture gets a tint
        src = src * np.array([1.35, 0.95, 0.75], F) * 1.2
    coords = in_portrait(kind, u, v, a, flip)
    albedo = np.stack([ndi.map_coordinates(src[..., c], coords, order=3, mode='nearest', prefilter=True)
                       for c in range(3)], -1).clip(0.004, 0.95)
    if outline is None:
        mask = smooth(1.0, 0.9, np.hypot(u / a, v)) * smooth(-1.0, -0.95, v)
    else:
        mask = ndi.map_coordinates(polygon(src.shape[1], outline, 1.6), coords, order=1)
    # the picture tells no height: what is brighter than its surroundings is taken to stand out
    detail = luminance(albedo)
    detail = ndi.gaussian_filter(detail, px * 0.03) - ndi.gaussian_filter(detail, px * 0.2)
    z = 0.85 * np.sqrt(np.clip(1.08 - (u / a) ** 2 - v**2, 0, 1)) + 0.12 * detail
    return albedo, z, mask, np.median(albedo[(np.hypot(u / a, v - 0.3) < 0.4)], axis=0)


def portrait_suit(kind, u, v, a, flip, px):
    """The astronaut's suit: its mask 0..1 and its height in h."""
    mask = ndi.map_coordinates(polygon(512, ASTRONAUT_SUIT, 2.0), in_portrait(kind, u, v, a, flip), order=1)
    dist = ndi.distance_transform_edt(mask > 0.5).astype(F) / px
    return mask, -0.5 + 0.8 * np.sqrt(1 - np.clip(1 - dist / 1.2, 0, 1) ** 2)


def drawn_head(u, v, a, rng, px):
    """An ellipsoid with hair, eyes, brows, nose and mouth."""
    skin, hair = pick(rng, SKINS), pick(rng, HAIRS)
    ur = u / a
    jaw = 1 - 0.16 * smooth(0.2, 1.0, v)  # narrower towards the chin
    r2 = (ur / jaw) ** 2 + v**2
    mask = smooth(1.03, 0.97, np.sqrt(r2))
    x = u - rng.uniform(-0.12, 0.12)  # looks a little aside
    z = relief(0.85 * np.sqrt(np.clip(1 - r2, 0, 1)), x, v)
    albedo, lips = features(u, v, x, skin, hair)
    top = hair_mask(rng.integers(4), v, ur, x, lips)
    strands = 1 + 0.45 * np.sin(u * 60 + 3 * np.sin(v * 7) + cloud(rng, u.shape, px * 0.06) * 1.5)
    albedo = albedo * (1 - top) + top * hair * strands[..., None]
    pores = 1 + 0.06 * cloud(rng, u.shape, max(px * 0.02, 1.0))
    return (albedo * pores[..., None]).astype(F), z.astype(F), mask.astype(F)


def relief(z, x, v):
    """Nose, sockets and mouth on an even height; x, as below, is counted from the face's middle line."""
    nose = np.exp(-((x / (0.075 + 0.09 * smooth(-0.1, 0.4, v))) ** 2)) * smooth(-0.2, 0.3, v) * smooth(0.44, 0.36, v)
    z = z + 0.22 * nose - 0.07 * np.exp(-(((np.abs(x) - 0.3) / 0.17) ** 2 + ((v + 0.06) / 0.12) ** 2))
    return z + 0.05 * np.exp(-((x / 0.22) ** 2 + ((v - 0.56) / 0.09) ** 2))


def features(u, v, x, skin, hair):
    """Skin with cheeks, eyes, brows and mouth (rows, columns, 3); and the lips' mask (rows, columns, 1)."""
    albedo = np.broadcast_to(skin, u.shape + (3,)).copy()
    blush = np.exp(-(((np.abs(u) - 0.38) / 0.2) ** 2 + ((v - 0.3) / 0.18) ** 2))
    albedo *= 1 + blush[..., None] * np.array([0.08, -0.1, -0.12], F)
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
    return albedo, lips


def hair_mask(style, v, ur, x, lips):
    """(rows, columns, 1); ur is u in half face widths."""
    line = -0.45 + 0.3 * ur**2
    if style == 0:  # short
        top = smooth(0.03, -0.03, v - line) + smooth(0.8, 0.86, np.abs(ur)) * smooth(0.15, 0.05, v)
    elif style == 1:  # long, at both sides
        top = smooth(0.03, -0.03, v - line) + smooth(0.66, 0.74, np.abs(ur) + 0.05 * np.sin(9 * v))
    elif style == 2:  # parted at one side, a fringe
        top = smooth(0.04, -0.04, v + 0.35 + 0.35 * (ur - 0.2)) + smooth(0.78, 0.86, np.abs(ur)) * smooth(0.3, 0.1, v)
    else:  # bald with a beard
        top = smooth(0.4, 0.5, v) * (1 - lips[..., 0]) * smooth(0.1, 0.2, np.hypot(x * 1.2, v - 0.4)) * 0.8
    return np.clip(top, 0, 1)[..., None]
