"""Things on the wall: a picture, a window by night, a shelf of books."""
import cv2
import numpy as np
from skimage import data

from light import linear

THINGS = ['none', 'none', 'picture', 'window', 'shelf']
PICTURES = [data.coffee, data.rocket, data.retina, data.moon, data.colorwheel]
GLASS = 0.012  # albedo of a window by night


class WallSurface:
    """A wall's albedo (rows, columns, 3) and its slopes (rows, columns), changed in place."""
    def __init__(self, albedo, slope_x, slope_y):
        self.albedo, self.slopes = albedo, (slope_x, slope_y)
        self.rows, self.columns = slope_x.shape

    def lay(self, x0, x1, y0, y1, colour, keep=0.1):
        """A rectangle of one colour, or of a picture of its size; keep: how much of the wall's relief stays."""
        left, top = max(x0, 0), max(y0, 0)
        right, bottom = min(x1, self.columns), min(y1, self.rows)
        if right <= left or bottom <= top:
            return
        if np.ndim(colour) == 3:
            colour = colour[top - y0:bottom - y0, left - x0:right - x0]
        self.albedo[top:bottom, left:right] = colour
        for slope in self.slopes:
            slope[top:bottom, left:right] *= keep


def hang_something(rng, albedo, slope_x, slope_y, head):
    """Puts a thing beside the middle, or nothing; returns what. head: the sitter's head height in px."""
    thing = rng.choice(THINGS)
    if thing == 'none':
        return thing
    surface = WallSurface(albedo, slope_x, slope_y)
    side = rng.choice([-1, 1])
    wide, high = rng.uniform(0.8, 1.5) * head, rng.uniform(0.8, 1.6) * head
    cx = surface.columns / 2 + side * rng.uniform(0.27, 0.38) * surface.columns
    cy = rng.uniform(0.2, 0.4) * surface.rows
    x0, x1, y0, y1 = [int(v) for v in (cx - wide / 2, cx + wide / 2, cy - high / 2, cy + high / 2)]
    frame = int(head * 0.07)
    if thing == 'picture':
        hang_picture(rng, surface, (x0, x1, y0, y1), frame)
    elif thing == 'window':
        put_window(surface, (x0, x1, y0, y1), frame)
    else:
        put_shelf(rng, surface, (x0, x1), int(cy), frame, head)
    return thing


def hang_picture(rng, surface, box, frame):
    """box: x0, x1, y0, y1; frame: its width; all in px."""
    x0, x1, y0, y1 = box
    image = PICTURES[rng.integers(len(PICTURES))]()
    if image.ndim == 2:
        image = np.dstack([image] * 3)
    surface.lay(x0, x1, y0, y1, linear(rng.uniform(0.1, 0.7)) * np.array([1, 0.85, 0.6]))
    size = max(8, x1 - x0 - 2 * frame), max(8, y1 - y0 - 2 * frame)
    motif = linear(cv2.resize(image[..., :3], size, interpolation=cv2.INTER_AREA) / 255.0) * 0.7
    surface.lay(x0 + frame, x0 + frame + size[0], y0 + frame, y0 + frame + size[1], motif, keep=0)


def put_window(surface, box, frame):
    """Four panes; box and frame as above."""
    x0, x1, y0, y1 = box
    surface.lay(x0, x1, y0, y1, 0.7)
    mid_x, mid_y, half = (x0 + x1) // 2, (y0 + y1) // 2, frame // 2
    for left, right in ((x0 + frame, mid_x - half), (mid_x + half, x1 - frame)):
        for top, bottom in ((y0 + frame, mid_y - half), (mid_y + half, y1 - frame)):
            surface.lay(left, right, top, bottom, GLASS)


def put_shelf(rng, surface, ends, y, board, head):
    """A board from one end to the other, x0, x1, and books on it; y, thickness and head height in px."""
    x0, x1 = ends
    surface.lay(x0, x1, y, y + board, linear(0.5))
    x = x0 + board
    while x < x1 - board:
        wide, high = int(rng.uniform(0.04, 0.12) * head), int(rng.uniform(0.3, 0.6) * head)
        colour = linear(np.clip(rng.uniform(0.15, 0.6) + rng.uniform(-0.15, 0.15, 3), 0.03, 0.9))
        surface.lay(x, x + wide, y - high, y, colour)
        x += wide + 2
