"""What a frame is read as, once it is taken apart: trail, room light, spill, face.

Planes (rows, columns) of linear light, 1 at full scale; masks likewise, of bool. A wall's blocks are (blocks,), or
(blocks, 3) for colours.
"""
import numpy as np
from scipy import ndimage
from skimage import filters, measure, transform

from pictures import GREY, LUMA, level

TRAIL_LIGHT = GREY * 2.0**-3
CLIPPED = 0.98
LEAST_DOUBT = 0.005
LEAST_ADDED = 0.0003


def trail_of(own, expected, near):
    """Mask of thin bright structures: own light above -3 EV, clear of what plates and noise leave, not specks.

    `own`: luminance beyond the expected, `expected`: luminance by plates and room, `near`: mask of the sitter.
    """
    edge = max(own.shape)
    size = 2 * int(0.03 * edge) + 1
    thin = ndimage.white_tophat(ndimage.uniform_filter(own, 3), size=(size, size))
    doubt = np.where(near, 0.3, 0.08) * expected + LEAST_DOUBT
    low = np.maximum(TRAIL_LIGHT, 2 * doubt)
    marked = filters.apply_hysteresis_threshold(np.minimum(own, thin), low, 2 * low)
    labels = measure.label(marked, connectivity=2)
    kept = np.zeros(labels.max() + 1, bool)
    for region in measure.regionprops(labels):
        top, left, bottom, right = region.bbox
        long = max(bottom - top, right - left) >= 0.02 * edge
        kept[region.label] = long and region.area >= 12
    return kept[labels]


def trail_reading(trail, seen, face):
    """Coverage and crossing as shares, gap and offset in heads; `seen`: luminance through the plain curve."""
    if not trail.any():
        return None
    y, x = np.nonzero(trail)
    dx, dy = x - face.cx, y - face.cy
    inside = face.radii(trail.shape)[trail] <= 1
    directions = (np.degrees(np.arctan2(dy, dx)) % 360 // 5).astype(int)
    above = ~inside & (np.abs(dx) <= face.rx) & (dy < -face.ry)
    heads = 2 * face.ry
    return {
        "coverage": len(np.unique(directions[~inside])) / 72,
        "crossing": float(inside.sum() / (face.radii(trail.shape) <= 1).sum()),
        "headGap": float((-dy[above] - face.ry).min() / heads) if above.any() else None,
        "offset": {"x": float(dx.mean() / heads), "y": float(dy.mean() / heads)},
        "clippedFraction": float((seen[trail] >= CLIPPED).mean()),
    }


def in_blocks(plane, size):
    """A plane, or planes, as (rows of blocks, columns of blocks, pixels of a block[, planes])."""
    rows, columns = plane.shape[0] // size, plane.shape[1] // size
    cut = plane[: rows * size, : columns * size].reshape(rows, size, columns, size, *plane.shape[2:])
    return cut.swapaxes(1, 2).reshape(rows, columns, size * size, *plane.shape[2:])


class Wall:
    """Squares of the frame that a mask says are wall nearly all over; x, y (blocks,) in fractions of the frame."""

    def __init__(self, wall):
        self.size = round(max(wall.shape) / 36)
        self.shape = wall.shape
        self.whole = in_blocks(wall, self.size).mean(axis=2) >= 0.9
        row, column = np.nonzero(self.whole)
        self.x = (column + 0.5) * self.size / wall.shape[1]
        self.y = (row + 0.5) * self.size / wall.shape[0]

    def of(self, plane, how=np.mean):
        """What each block holds of a plane (blocks,), or of a picture (blocks, 3)."""
        return how(in_blocks(plane, self.size)[self.whole], axis=1)

    def clear_of(self, trail):
        """Which blocks lie so far from the trail that no halo of it reaches them; all, if none does."""
        drawn = np.pad(in_blocks(trail, self.size).any(axis=2), 2)
        clear = ~ndimage.binary_dilation(drawn, np.ones((5, 5)))[2:-2, 2:-2][self.whole]
        return clear if clear.any() else np.ones_like(clear)

    def broad(self, values):
        """The blocks' values as a soft map over the frame; where there is no wall, the nearest block's."""
        grid = np.zeros(self.whole.shape)
        grid[self.whole] = values
        nearest = ndimage.distance_transform_edt(~self.whole, return_distances=False, return_indices=True)
        soft = ndimage.median_filter(grid[tuple(nearest)], 3)
        covered = [n * self.size for n in self.whole.shape]
        return np.pad(
            transform.resize(soft, covered), [(0, n - c) for n, c in zip(self.shape, covered)], mode="edge"
        )


def temperature_of(rgb):
    """Kelvin from linear sRGB (3,): McCamy 1992."""
    xyz = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]) @ rgb
    x, y = xyz[:2] / xyz.sum()
    n = (x - 0.332) / (y - 0.1858)
    return float(round((-449 * n**3 + 3525 * n**2 - 6823.3 * n + 5520.33) / 10) * 10)


def side_of(x, y, new):
    """From where the new light (blocks,) comes: a plane through its stops, in EV over the frame."""
    stops = np.log2(np.maximum(0, new) + 0.05 * max(0, new.mean()) + 1e-6)
    design = np.stack([np.ones_like(x), x - 0.5, y - 0.5], axis=1)
    _, across, down = np.linalg.lstsq(design, stops, rcond=None)[0]
    if max(abs(across), abs(down)) < 0.7:
        return "even"
    if abs(across) >= abs(down):
        return "left" if across < 0 else "right"
    return "top" if down < 0 else "bottom"


def wall_light(curve, frame, dark, lights, power):
    """The dark plate's light (blocks, 3), and what is typical of the frame beyond it and the flashes.

    `frame` (blocks, 3) are the typical codes of each block, `dark` and each of `lights` their mean ones on the plates.
    """
    darkness = curve.light(dark)
    flash = sum(p * (curve.light(one) - darkness) for p, one in zip(power, lights))
    return darkness, curve.light(frame) - darkness - flash


def ambient_reading(wall, clear, through_fitted, through_plain):
    """Level, rise, side and colour of the wall from its clear blocks.

    Plates tell little of how a curve treats what is nearly black: level and rise lie halfway, in stops, between what the
    fitted curve and the plain one say.
    """
    levels, rises, added = [], [], []
    for dark, new in (through_fitted, through_plain):
        before, more = (dark[clear] @ LUMA).mean(), (new[clear] @ LUMA).mean()
        now = max(1e-6, before + more)
        levels.append(level(now))
        rises.append(np.log2(now / max(before, 1e-6)))
        added.append(more)
    rise = 0.0 if abs(np.mean(added)) < LEAST_ADDED else float(np.mean(rises))
    lit = rise > 0.25
    new_rgb = through_fitted[1][clear]
    new = new_rgb @ LUMA
    brightest = new >= np.quantile(new, 0.8)
    return {
        "levelEv": float(np.mean(levels)),
        "riseEv": rise,
        "side": side_of(wall.x[clear], wall.y[clear], new) if lit else None,
        "kelvin": temperature_of(new_rgb[brightest].mean(axis=0)) if lit else None,
    }


def spill_reading(wall, id, patch, power):
    """A light's strongest patch on the wall, from the light that each block holds of it on its plate (blocks,)."""
    best = int(np.argmax(patch))
    there = level(power * patch[best])
    if there is None or there < -10:
        return None
    return {"light": id, "levelEv": there, "at": {"x": float(wall.x[best]), "y": float(wall.y[best])}}


def face_reading(light, seen, trail, own, face):
    """The face without the trail; `light`: luminance through the fitted curve, `seen`: through the plain one."""
    inside = face.radii(light.shape) <= 1
    bare = np.maximum(0, light - np.where(trail, own, 0))
    x = np.broadcast_to(np.arange(light.shape[1]), light.shape)
    left, right = bare[inside & (x < face.cx)].mean(), bare[inside & (x >= face.cx)].mean()
    return {
        "levelEv": level(bare[inside].mean()),
        "clippedFraction": float((seen[inside] >= CLIPPED).mean()),
        "leftRightEv": float(np.log2(left / right)) if left > 0 and right > 0 else None,
    }


def sharpness_of(light, expected, trail, face):
    """Root of the ratio of the Laplacians' variances on the head, frame over what the plates give in the same light."""
    inside = (face.radii(light.shape) <= 0.9) & ~ndimage.binary_dilation(trail, iterations=3)
    detail = [ndimage.laplace(ndimage.uniform_filter(plane, 3))[inside].var() for plane in (light, expected)]
    return float(np.sqrt(detail[0] / detail[1])) if detail[1] > 0 else None


def histogram_of(seen):
    """Counts of luminance in quarter stops, the first and last bin open."""
    with np.errstate(divide="ignore"):
        levels = np.log2(seen / GREY)
    edges = np.concatenate(([-np.inf], np.arange(-11.75, 2.3, 0.25), [np.inf]))
    return np.histogram(levels, bins=edges)[0].tolist()
