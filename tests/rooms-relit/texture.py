"""Smooth chance in one and two dimensions, and what a height field's slopes do to its normals.

Every room has its own generator, drawn from in one order: another draw in between makes another room.
"""
import cv2
import numpy as np
from scipy.interpolate import CubicSpline

from light import F


def cloud(rng, shape, lump, octaves=4, gain=0.5, stretch=(1.0, 1.0)):
    """Smooth noise (rows, columns) of mean 0 and unit spread.

    lump: size of its coarsest lumps in px. gain: strength of each octave against the one before it. stretch: by how
    much lumps are longer along x and y.
    """
    rows, columns = shape
    total = np.zeros((rows, columns), F)
    strength = 1.0
    for octave in range(octaves):
        size = lump / 2 ** octave
        grid_rows, grid_columns = int(rows / (size * stretch[1])) + 4, int(columns / (size * stretch[0])) + 4
        if grid_rows > 2 * rows or grid_columns > 2 * columns:
            break  # finer than a pixel
        grid = rng.standard_normal((grid_rows, grid_columns)).astype(F)
        total += strength * cv2.resize(grid, (columns, rows), interpolation=cv2.INTER_CUBIC)
        strength *= gain
    return (total - total.mean()) / (total.std() + 1e-6)


def wander(rng, count, knots):
    """A smooth line of chance (count,) of about unit spread that turns about once per knot."""
    return CubicSpline(np.arange(knots + 3), rng.standard_normal(knots + 3))(np.linspace(0.5, knots + 1.5, count))


def blur(image, sigma):
    """Gaussian blur by sigma px."""
    return cv2.GaussianBlur(image, (0, 0), sigma)


def slopes(height):
    """(rows, columns) of px -> its slopes along x and along y."""
    return (cv2.Sobel(height, cv2.CV_32F, 1, 0, ksize=3) / 8, cv2.Sobel(height, cv2.CV_32F, 0, 1, ksize=3) / 8)


def normals(slope_x, slope_y):
    """Unit normals (rows, columns, 3): right, down, to the camera."""
    n = np.dstack([-slope_x, -slope_y, np.ones_like(slope_x)])
    return n / np.linalg.norm(n, axis=2, keepdims=True)


def pixels(rows, columns):
    """x and y of every pixel, both (rows, columns) in px."""
    y, x = np.mgrid[:rows, :columns].astype(F)
    return x, y


def unit(v):
    """A vector brought to length 1."""
    return v / np.linalg.norm(v)
