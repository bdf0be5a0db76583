"""The shape of a modelled bust: signed distances of its parts.

Unit: half a head's height; y down, z to the camera, the head's centre near the origin. A place p is x, y, z, each (n,).
"""
import numpy as np

from light import F
from solids import capsule, ellipsoid, join, meet, mirrored, ring

SKIN, LIPS, EYE, HAIR, CLOTH, HAT, GLASSES, BEARD = range(8)
NECK_JOINT = np.array([0, 0.9, -0.2], F)  # what the head turns about
HAIR_THICKNESS = {'short': 0.07, 'crop': 0.03, 'bob': 0.10, 'long': 0.1, 'bun': 0.06, 'curly': 0.16}


def face(f, p):
    """Distances of skull and face, of the lips and of the eyeballs."""
    m = mirrored(p)
    tip = 0.66 + 0.22 * f.nose
    d = ellipsoid(p, (0, -0.24, -0.12), (0.68 * f.wide, 0.74, 0.84))
    d = join(d, ellipsoid(p, (0, 0.30, 0.10), (0.53 * f.jaw * f.wide, 0.66, 0.56)), 0.22)
    d = join(d, capsule(m, (0, 0.80, 0.42), (0.1, 0.8, 0.40), 0.14), 0.18)  # chin
    d = join(d, ellipsoid(m, (0.36, 0.14, 0.44), (0.17, 0.14, 0.2)), 0.14)  # cheekbones
    d = join(d, capsule(m, (0.08, -0.17, 0.66), (0.38, -0.17, 0.54), 0.07), 0.12)  # brows
    d = meet(d, -ellipsoid(m, (f.eye, -0.01, 0.80), (0.16, 0.11, 0.2)), 0.10)  # sockets
    d = join(d, capsule(p, (0, -0.10, 0.66), (0, 0.22, tip), 0.055, 0.085), 0.07)  # nose
    d = join(d, capsule(m, (0.0, 0.25, 0.66 + 0.20 * f.nose), (0.09, 0.28, 0.72), 0.07, 0.06), 0.05)  # nostrils
    d = meet(d, -capsule(m, (0, 0.51, 0.75), (f.mouth, 0.51 - f.smile, 0.62), 0.018), 0.03)
    eye = np.sqrt((m[0] - F(f.eye)) ** 2 + (p[1] - F(-0.01)) ** 2 + (p[2] - F(0.545)) ** 2)
    lids = np.minimum(np.maximum(eye - F(0.165), p[1] + F(0.055)), np.maximum(eye - F(0.16), F(0.05) - p[1]))
    d = join(d, lids, 0.03)
    ears = meet(ellipsoid(m, (0.70 * f.wide, 0.04, -0.06), (0.09, 0.21, 0.15)),
                -ellipsoid(m, (0.78 * f.wide, 0.03, 0.0), (0.06, 0.12, 0.08)), 0.04)
    d = join(d, ears, 0.05)
    upper = capsule(m, (0, 0.465, 0.715), (f.mouth, 0.50 - f.smile, 0.59), 0.036, 0.02)
    lower = capsule(m, (0, 0.555, 0.70), (f.mouth * 0.85, 0.53 - f.smile, 0.58), 0.045, 0.02)
    return d, join(upper, lower, 0.02), eye - F(0.145)


def hair(f, p):
    """Distance of the hair, or None."""
    if f.hair == 'bald':
        return None
    m = mirrored(p)
    thick = HAIR_THICKNESS[f.hair]
    if f.hat != 'none':
        thick = min(thick, 0.05)
    d = ellipsoid(p, (0, -0.26, -0.16), (0.68 * f.wide + thick, 0.74 + thick, 0.84 + thick))
    if f.hair in ('bob', 'long'):
        down = 0.75 if f.hair == 'bob' else 1.5
        d = join(d, ellipsoid(p, (0, down - 0.55, -0.30), (0.82, down * 0.8, 0.55)), 0.15)
        d = join(d, capsule(m, (0.62, -0.3, 0.05), (0.70, down * 0.9, 0.0), 0.16, 0.13), 0.12)
    else:
        d = meet(d, -ellipsoid(p, (0, 0.75, 0.1), (1.2, 0.80, 1.0)), 0.08)
    if f.hair == 'bun':
        d = join(d, ellipsoid(p, (0.0, -1.0, -0.25), (0.28, 0.25, 0.28)), 0.05)
    d = meet(d, -ellipsoid(p, (0, 0.24, 0.95), (0.56, 0.72, 0.80)), 0.06)  # the face stays free
    phase = f.curl.astype(F)
    if f.hair == 'curly':
        return d + (F(0.035) * np.sin(p[0] * 17 + phase[0]) * np.sin(p[1] * 16 + phase[1])
                    * np.sin(p[2] * 17 + phase[2]))
    return d + F(0.010) * np.sin(p[0] * 40 + 3 * np.sin(p[1] * 5 + phase[3]) + phase[4])


def hat(f, p):
    """Distance of the hat, or None."""
    if f.hat == 'beanie':
        d = meet(ellipsoid(p, (0, -0.30, -0.14), (0.77 * f.wide, 0.86, 0.92)), p[1] + F(0.36) - F(0.15) * p[2], 0.04)
        return d + F(0.012) * np.sin(np.arctan2(p[0], p[2]) * 46)
    if f.hat == 'brim':
        q = np.sqrt(p[0] ** 2 + (p[2] + F(0.12)) ** 2)
        crown = meet(q - F(0.76) - F(0.10) * (p[1] + 0.9), np.abs(p[1] + F(0.80)) - F(0.36), 0.08)
        brim = meet(q - F(1.28), np.abs(p[1] + F(0.44) - F(0.10) * (p[0] ** 2)) - F(0.035), 0.03)
        return join(crown, brim, 0.05)
    if f.hat == 'cap':
        d = meet(ellipsoid(p, (0, -0.32, -0.14), (0.75 * f.wide, 0.78, 0.92)), p[1] + F(0.38), 0.04)
        visor = meet(ellipsoid(p, (0, -0.40, 0.70), (0.58, 0.20, 0.60)),
                     np.abs(p[1] + F(0.42) - F(0.15) * (p[2] - 0.7)) - F(0.03), 0.03)
        return np.minimum(d, visor)
    return None


def glasses(p):
    m = mirrored(p)
    d = ring(m, (0.28, 0, 0.80), 0.185, 0.022, 1.12)
    d = np.minimum(d, capsule(m, (0, -0.03, 0.84), (0.10, -0.02, 0.82), 0.02))
    return np.minimum(d, capsule(m, (0.46, -0.03, 0.78), (0.74, -0.05, -0.05), 0.02))


def beard(f, p):
    m = mirrored(p)
    d = ellipsoid(p, (0, 0.42, 0.14), (0.56 * f.jaw * f.wide, 0.62, 0.60))
    d = meet(d, F(0.30) - p[1], 0.06)
    d = meet(d, -ellipsoid(m, (0, 0.50, 0.75), (f.mouth + 0.04, 0.11, 0.4)), 0.04)
    d = meet(d, -ellipsoid(m, (0, 0.22, 0.8), (0.36, 0.16, 0.5)), 0.06)
    return d + F(0.012) * np.sin(p[0] * 43 + 2 * np.sin(p[1] * 9)) * np.sin(p[1] * 31)


def body(f, p):
    """Distances of the neck and of the clothed body."""
    # far below, the body goes on as it is: the picture may reach further down than it was modelled
    p = [p[0], np.where(p[1] > 2.2, F(2.2) + F(0.5) * np.tanh((p[1] - F(2.2)) / F(0.5)), p[1]), p[2]]
    m = mirrored(p)
    w, y = f.shoulder, f.shoulder_y
    neck = capsule(p, (0, 0.5, -0.18), (0, 1.6, -0.30), 0.36 * f.wide, 0.42 * f.wide)
    d = capsule(m, (0.0, y - 0.12, -0.32), (w, y + 0.12, -0.34), 0.36, 0.42)
    d = join(d, ellipsoid(p, (0, y + 1.2, -0.3), (w - 0.12, 1.6, 0.72)), 0.2)
    d = join(d, capsule(m, (w, y + 0.15, -0.34), (w + 0.30, y + 2.2, -0.12), 0.38, 0.34), 0.07)
    if f.collar == 'hood':
        d = join(d, capsule(m, (0, y - 0.25, 0.12), (0.45, y - 0.45, -0.35), 0.20, 0.22), 0.1)
    elif f.collar == 'shirt':
        d = join(d, capsule(m, (0.10, y - 0.16, 0.22), (0.46, y - 0.42, -0.25), 0.08, 0.10), 0.04)
    elif f.collar == 'v':
        d = meet(d, -capsule(p, (0, y - 0.3, 0.3), (0, y + 0.15, 0.62), 0.30, 0.05), 0.04)
    return neck, d + F(0.02) * np.sin(p[0] * 5 + p[1] * 7 + F(f.curl[5])) * np.sin(p[1] * 4 - p[0] * 3)


def parts(f, p):
    """(material, distance) of every part at places p of the scene; and those places in the head's own frame."""
    b, h = f.body_turn, f.head_turn
    neck, cloth = body(f, [b[0, 0] * p[0] + b[2, 0] * p[2], p[1], b[0, 2] * p[0] + b[2, 2] * p[2]])
    q0 = [p[i] - NECK_JOINT[i] for i in range(3)]
    q = [h[0, i] * q0[0] + h[1, i] * q0[1] + h[2, i] * q0[2] + NECK_JOINT[i] for i in range(3)]
    skin, lips, eye = face(f, q)
    found = [(SKIN, join(skin, neck, 0.12)), (LIPS, lips), (EYE, eye), (CLOTH, cloth)]
    for material, distance in ((HAIR, hair(f, q)), (HAT, hat(f, q))):
        if distance is not None:
            found.append((material, distance))
    if f.glasses:
        found.append((GLASSES, glasses(q)))
    if f.beard:
        found.append((BEARD, beard(f, q)))
    return found, q


def distance(f, p):
    """Distance (n,) to the nearest part."""
    found, _ = parts(f, p)
    nearest = found[0][1]
    for _, d in found[1:]:
        nearest = np.minimum(nearest, d)
    return nearest
