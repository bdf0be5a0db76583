"""Signed distances to simple solids, and soft unions of them.

A place p is a list of three planes x, y, z of equal shape (y down, z to the camera). A distance is a plane of that
shape, below 0 inside. All lengths are in one unit, whichever.
"""
import numpy as np

from light import F


def ellipsoid(p, centre, radii):
    q = [(p[i] - F(centre[i])) for i in range(3)]
    k0 = np.sqrt(sum((q[i] / F(radii[i])) ** 2 for i in range(3)))
    k1 = np.sqrt(sum((q[i] / F(radii[i] ** 2)) ** 2 for i in range(3)))
    return k0 * (k0 - 1) / (k1 + F(1e-6))


def capsule(p, a, b, radius, end_radius=None):
    """A stick with round ends from a to b, whose radius may change along it."""
    d = [F(b[i] - a[i]) for i in range(3)]
    length2 = sum(x * x for x in d)
    t = np.clip(sum((p[i] - F(a[i])) * d[i] for i in range(3)) / length2, 0, 1)
    r = radius if end_radius is None else radius + (end_radius - radius) * t
    return np.sqrt(sum((p[i] - F(a[i]) - t * d[i]) ** 2 for i in range(3))) - r


def ring(p, centre, radius, thickness, flat=1.0):
    """A ring that faces the camera; flat > 1 makes it lower than it is wide."""
    x, y, z = [(p[i] - F(centre[i])) for i in range(3)]
    q = np.sqrt(x * x + (y * F(flat)) ** 2) - F(radius)
    return np.sqrt(q * q + z * z) - F(thickness)


def join(a, b, soft):
    """Union of two distances, rounded over `soft` where they meet."""
    h = np.clip(F(0.5) + F(0.5 / soft) * (b - a), 0, 1)
    return b + (a - b) * h - F(soft) * h * (1 - h)


def meet(a, b, soft):
    """Intersection of two distances, rounded over `soft`."""
    return -join(-a, -b, soft)


def mirrored(p):
    """Places folded onto the right half: a solid put there comes twice."""
    return (np.abs(p[0]), p[1], p[2])


def turn(yaw, pitch, roll):
    """Rotation (3, 3) by three angles in degrees."""
    y, p, r = np.radians([yaw, pitch, roll])
    about_y = np.array([[np.cos(y), 0, np.sin(y)], [0, 1, 0], [-np.sin(y), 0, np.cos(y)]])
    about_x = np.array([[1, 0, 0], [0, np.cos(p), -np.sin(p)], [0, np.sin(p), np.cos(p)]])
    about_z = np.array([[np.cos(r), -np.sin(r), 0], [np.sin(r), np.cos(r), 0], [0, 0, 1]])
    return about_z @ about_y @ about_x
