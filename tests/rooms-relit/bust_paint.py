"""The colours of a modelled bust: skin, eyes, hair and cloth, left to chance.

A surface's places p (the scene's) and q (the head's own) are lists of x, y, z, each (n,), in half head heights. Colours
are linear albedo, (n, 3) or (3,).
"""
from dataclasses import dataclass

import numpy as np

from bust_shape import BEARD, CLOTH, EYE, GLASSES, HAIR, HAT, LIPS, SKIN
from light import F, linear
from texture import blur, cloud

SKINS = np.array([[0.66, 0.44, 0.34], [0.52, 0.32, 0.22], [0.33, 0.18, 0.11], [0.16, 0.085, 0.055],
                  [0.075, 0.042, 0.03]])  # from light to dark
HAIR_COLOURS = np.array([[0.015, 0.012, 0.01], [0.05, 0.028, 0.016], [0.16, 0.09, 0.04], [0.42, 0.29, 0.14],
                         [0.45, 0.44, 0.43], [0.22, 0.06, 0.02]])
IRISES = np.array([[0.05, 0.03, 0.02], [0.06, 0.12, 0.2], [0.08, 0.12, 0.06]])
PATTERNS = ['plain', 'knit', 'stripe', 'plaid']
TILE = 256  # rows and columns of the repeated texture


@dataclass
class Surface:
    """The bust's visible points: n of them, out of a picture of `shape` pixels."""
    shape: tuple  # rows, columns
    where: np.ndarray  # (n,) index of each point's pixel
    p: list
    q: list
    normal: np.ndarray  # (n, 3)
    material: np.ndarray  # (n,)


class Paint:
    """A surface's albedo (n, 3), spec and gloss (n,), and its tone: 0 light skin .. 1 dark skin."""

    def __init__(self, rng, features, surface):
        n = len(surface.where)
        self.rng, self.f, self.s = rng, features, surface
        self.albedo = np.zeros((n, 3), F)
        self.spec = np.zeros(n, F)
        self.gloss = np.full(n, 12, F)
        self.tone = rng.random()
        at = self.tone * 4
        i = min(int(at), 3)
        self.skin_colour = SKINS[i] * (1 - at + i) + SKINS[i + 1] * (at - i)
        if self.tone < 0.6:
            self.hair_colour = HAIR_COLOURS[rng.integers(6)]
        else:
            self.hair_colour = np.array([0.012, 0.01, 0.009]) * rng.uniform(0.8, 3)
        self.texture = cloud(rng, (TILE, TILE), 24, 5, 0.6)
        self.paint_skin()
        self.paint_lips_and_eyes()
        self.paint_hair()
        self.paint_hat_and_glasses()
        self.cloth_note = self.paint_cloth()

    def lay(self, material, colour, spec, gloss=None):
        """Gives all of a material its colour and shine."""
        m = self.s.material == material
        self.albedo[m] = colour[m] if np.ndim(colour) == 2 else colour
        self.spec[m] = spec
        if gloss is not None:
            self.gloss[m] = gloss

    def grain(self, u, v):
        """The texture (n,) at places u, v."""
        return self.texture[(v * 60).astype(int) % TILE, (u * 60).astype(int) % TILE]

    def paint_skin(self):
        rng, q = self.rng, self.s.q
        flush = (np.exp(-((np.abs(q[0]) - 0.36) ** 2 / 0.03 + (q[1] - 0.2) ** 2 / 0.03))
                 + np.exp(-(q[0] ** 2 / 0.01 + (q[1] - 0.27) ** 2 / 0.01)))  # cheeks and nose
        colour = (self.skin_colour[None] * (1 + 0.07 * self.grain(q[0], q[1])[:, None])
                  * (1 - np.array([0.02, 0.16, 0.14])[None] * flush[:, None]))
        dots = (rng.random((TILE, TILE)) < 0.03 * (rng.random() < 0.4)).astype(F)
        freckles = (blur(dots, 1.2) * 6)[(q[1] * 90).astype(int) % TILE, (q[0] * 90).astype(int) % TILE]
        colour = colour * (1 - np.clip(0.35 * freckles * (q[1] < 0.4) * (q[1] > -0.1), 0, 0.5))[:, None]
        across = np.abs(q[0])
        brow = (np.abs(q[1] + 0.19 - 0.05 * across) < 0.032) & (across > 0.09) & (across < 0.42) & (q[2] > 0.3)
        colour = np.where(brow[:, None], self.hair_colour[None] * 0.8 + 0.01, colour)
        self.lay(SKIN, colour, rng.uniform(0.006, 0.026), rng.uniform(8, 22))

    def paint_lips_and_eyes(self):
        rng, q = self.rng, self.s.q
        self.lay(LIPS, self.skin_colour * np.array([0.95, 0.55, 0.55]) * rng.uniform(0.7, 1.05), 0.03, 30)
        aside = np.abs(q[0]) - self.f.eye
        gaze = rng.uniform(-0.02, 0.02)
        r = np.sqrt((aside + gaze) ** 2 + (q[1] + 0.01) ** 2)
        iris = IRISES[rng.integers(3)]
        colour = np.where((r < 0.068)[:, None], iris, np.array([0.34, 0.31, 0.28]))
        self.lay(EYE, np.where((r < 0.03)[:, None], 0.004, colour), 0.045, 90)

    def paint_hair(self):
        rng, q = self.rng, self.s.q
        beard_colour = self.hair_colour * rng.uniform(0.8, 1.3)
        strands = (self.grain(q[0] * 5, q[1] * 0.6 + q[2]) * 0.35 + self.grain(q[0] * 2, q[1] * 0.3) * 0.15)
        for material, colour in ((HAIR, self.hair_colour), (BEARD, beard_colour)):
            self.lay(material, colour[None] * np.exp(strands)[:, None], rng.uniform(0.02, 0.07), 18)

    def paint_hat_and_glasses(self):
        rng, q = self.rng, self.s.q
        colour = linear(np.clip(rng.uniform(0.1, 0.6) + rng.uniform(-0.12, 0.12, 3), 0.04, 0.8))
        self.lay(HAT, colour[None] * (1 + 0.08 * self.grain(q[0] * 3, q[1] * 3))[:, None], 0.01)
        self.lay(GLASSES, 0.02 if rng.random() < 0.7 else 0.2, 0.3, 40)

    def paint_cloth(self):
        """Returns its note."""
        rng, (x, y, _) = self.rng, self.s.p
        dark = rng.random() < 0.5
        level = rng.uniform(0.08, 0.2) if dark else rng.uniform(0.45, 0.85)
        first = linear(np.clip(level + rng.uniform(-1, 1, 3) * (0.05 if dark else 0.13), 0.04, 0.9))
        second = linear(rng.uniform(0.1, 0.8, 3))
        pattern = rng.choice(PATTERNS)
        colour = np.repeat(first[None], len(x), 0)
        if pattern == 'knit':
            colour = colour * (1 + 0.22 * np.sin(x * 60) * np.sin(y * 45))[:, None]
        elif pattern == 'stripe':
            colour = np.where((np.sin(y * 16) > 0.55)[:, None], second, colour)
        elif pattern == 'plaid':
            upright, level = np.sin(x * 13) > 0.3, np.sin(y * 13) > 0.4
            crossed = colour * (1 - 0.35 * upright)[:, None] * (1 - 0.3 * level)[:, None]
            colour = crossed + 0.1 * second * (np.sin(y * 13 + 1) > 0.95)[:, None]
        self.lay(CLOTH, colour * (1 + 0.06 * self.grain(x * 2, y * 2))[:, None], 0.006)
        return f"{'dark' if dark else 'light'}/{pattern}/{self.f.collar}"
