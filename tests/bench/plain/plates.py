"""Plates, how a frame's head lies against theirs, and how strong each light fired.

Pictures are arrays (rows, columns, 3) of code values 0..1, moves are (right, down) in pixels, powers linear, 1 as on
the plate.
"""
import json
import pathlib

import numpy as np
from scipy import optimize
from skimage import filters, registration, transform

from pictures import CURVES, LUMA, PLAIN, USUAL, Face, load


def shift_between(plate, seen):
    """How far the head in `seen` lies to the right of and below the same head in `plate`, in pixels."""
    # Both are windows of linear light. Of its root, so that a flash's brightest spot doesn't outweigh the features.
    taper = filters.window("hann", plate.shape)
    pictures = [filters.gaussian(np.sqrt(np.maximum(0, one)), 1) * taper for one in (plate, seen)]
    back = registration.phase_cross_correlation(*pictures, upsample_factor=20, normalization=None)[0]
    return -float(back[1]), -float(back[0])


def warped(picture, move):
    """The picture as the head's move takes it along."""
    return transform.warp(picture, transform.EuclideanTransform(translation=(-move[0], -move[1])), mode="edge")


def moves_apart(frame, plates, moved, power, curve, moves):
    """Each light's move by itself, where it shows one: its plate against what the others leave of the frame.

    `moved`: the lights' plates moved as `moves` say so far; `power` (lights,) and `curve` as fitted with them.
    """
    window = plates.face.window(frame.shape)
    luminance = lambda picture: curve.light(picture[window]) @ LUMA
    darkness = luminance(plates.dark)
    parts = [p * (luminance(one) - darkness) for p, one in zip(power, moved)]
    rest = luminance(frame) - darkness - sum(parts)
    return [
        shift_between(p * (luminance(plate) - darkness), rest + part) if p > 0.15 else move
        for p, plate, part, move in zip(power, plates.lights, parts, moves)
    ]


class Plates:
    """The plates of a folder at one size, and the face ellipse on them."""

    def __init__(self, folder):
        folder = pathlib.Path(folder)
        named = {path.stem: path for path in sorted(folder.glob("*.jpg"))}
        self.ids = [stem[-1] for stem in named if stem.startswith("light-")]
        self.lights = [load(named[f"light-{id}"])[0] for id in self.ids]
        shape = self.lights[0].shape
        self.dark = load(named["dark"])[0] if "dark" in named else np.zeros(shape)
        ellipse = json.loads((folder / "zones.json").read_text())["face"]
        rows, columns = shape[:2]
        self.face = Face(
            ellipse["cx"] * columns - 0.5, ellipse["cy"] * rows - 0.5, ellipse["rx"] * columns, ellipse["ry"] * rows
        )
        window = self.face.window(shape)
        self.together = sum(PLAIN.light(light[window]) @ LUMA for light in self.lights)
        self.stand = (0, 0)
        if "sitter" in named:
            self.stand = shift_between(self.together, PLAIN.light(load(named["sitter"])[0][window]) @ LUMA)

    def sized(self, shape):
        """The plates at the size of a frame."""
        if self.dark.shape != shape:
            self.dark = transform.resize(self.dark, shape)
            self.lights = [transform.resize(light, shape) for light in self.lights]
        return self


def biweight(residual, sigma):
    """Tukey's weights."""
    u = residual / (4.685 * sigma)
    return np.where(np.abs(u) < 1, (1 - u**2) ** 2, 0)


def spread_of(residual):
    """A standard deviation that outliers don't reach, 0.7 at the least: they are in noise, which may be overrated."""
    return max(0.7, 1.4826 * float(np.median(np.abs(residual))))


def robust_nnls(columns, target, scale):
    """Powers (lights + 1,) for one curve; and the misfit, the mean of Tukey's loss.

    columns (samples, lights + 1) and target (samples,) in light, scale (samples,) from there to noise of the codes.
    """
    weights = np.ones_like(target)
    for _ in range(8):
        root = np.sqrt(weights) * scale
        power, _ = optimize.nnls(columns * root[:, None], target * root)
        residual = (target - columns @ power) * scale
        weights = biweight(residual, spread_of(residual))
    u = np.minimum(1, np.abs(residual) / (4.685 * 2))
    return power, float(np.mean(1 - (1 - u**2) ** 3))


def samples_of(frame, dark, lights, inside):
    """Each picture's codes (samples,) at a part of the pixels, channels after one another; none that may be clipped."""
    every = max(1, int(np.sqrt(inside.sum() / 3000)))
    sparse = np.zeros_like(inside)
    sparse[::every, ::every] = True
    pick = [picture[inside & sparse].ravel() for picture in (frame, dark, *lights)]
    usable = np.max(pick, axis=0) < 250 / 255
    return [codes[usable] for codes in pick]


def fit_powers(frame, dark, lights, inside):
    """Each light's power (lights,) against its plate, even room light set apart, and the curve that fits best."""
    seen, dark, *lights = samples_of(frame, dark, lights, inside)
    best = None
    for curve in CURVES:
        darkness = curve.light(dark)
        scale = 1 / (curve.slope(seen) * np.hypot(1, 0.012 * 255 * seen))
        columns = np.stack([*(curve.light(light) - darkness for light in lights), np.ones_like(darkness)], axis=1)
        power, misfit = robust_nnls(columns, curve.light(seen) - darkness, scale)
        # Curves near the usual one are likelier.
        misfit += 0.0005 * ((curve.strength - USUAL.strength) / 0.3) ** 2
        if best is None or misfit < best[0]:
            best = (misfit, power, curve)
    return best[1][:-1], best[2]
