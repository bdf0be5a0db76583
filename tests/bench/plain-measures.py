"""The measures of a frame, written plainly with scikit-image and SciPy: what our own are held against in speed and value.

Run: /usr/bin/python3 tests/bench/plain-measures.py PLATES_FOLDER FRAME...
Wants Debian's python3-skimage and python3-scipy. PLATES_FOLDER holds dark.jpg, light-A.jpg, light-B.jpg ..., zones.json
and, if it was taken, sitter.jpg. JPEG in sRGB only: an ICC profile is not applied.

Prints one line of JSON for each frame: {"file", "ms", "reading"}. "ms" are the milliseconds from the file on disk to the
reading, Python's start and the plates not counted. "reading" has the names and units of our own reading, version 1:
levels and rises in EV around middle grey (0 EV is linear 0.18 of full scale), lights' powers in EV against their plates,
positions in fractions of the frame (x right, y down), gaps and offsets in heads (the face ellipse's height), kelvin; and
"histogram", counts of luminance in quarter stops from -12 EV on, the first and last bin open.

Vectorised calls throughout, as anyone would write it who knows both libraries; nothing is made faster than that, and
nothing slower.
"""
import json
import pathlib
import sys
import time

import numpy as np
from PIL import Image, ImageOps
from scipy import ndimage, optimize
from skimage import filters, measure, registration, transform

LONG_EDGE = 1500
GREY = 0.18
LUMA = np.array([0.2126, 0.7152, 0.0722])
TRAIL_LIGHT = GREY * 2.0**-3
CLIPPED = 0.98
LEAST_DOUBT = 0.005
LEAST_ADDED = 0.0003


# Pictures


def load(path):
    """Decodes a JPEG, upright: code values 0..1 (rows, columns, 3), LONG_EDGE pixels at the most; and its own size."""
    # scikit-image reads JPEG through Pillow too, but turns it upright in some versions only.
    with Image.open(path) as file:
        picture = np.asarray(ImageOps.exif_transpose(file).convert("RGB"))
    rows, columns = picture.shape[:2]
    longest = max(rows, columns)
    if longest % LONG_EDGE == 0 and min(rows, columns) % (longest // LONG_EDGE) == 0:
        factor = longest // LONG_EDGE
        small = transform.downscale_local_mean(picture, (factor, factor, 1)) / 255
    else:
        scale = min(1, LONG_EDGE / longest)
        small = transform.resize(picture, (round(rows * scale), round(columns * scale)), anti_aliasing=True)
    return small, (columns, rows)


def srgb_to_linear(code):
    """IEC 61966-2-1, code values and light both 0..1."""
    return np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)


class Curve:
    """A camera's tone curve: an S of some strength over the code values; 0 is plain sRGB."""

    seen = np.linspace(0, 1, 2048)

    def __init__(self, strength):
        self.strength = strength
        self.codes = self.seen + strength * (self.seen**2 * (3 - 2 * self.seen) - self.seen)
        self.table = srgb_to_linear(self.seen)

    def light(self, code):
        return np.interp(code, self.codes, self.table)

    def slope(self, code):
        """Light that a step of one in 255 makes."""
        return np.maximum(1e-7, self.light(code + 0.5 / 255) - self.light(code - 0.5 / 255))


PLAIN = Curve(0)
CURVES = [Curve(strength) for strength in np.arange(-0.2, 0.91, 0.1)]
USUAL = Curve(0.3)


def level(light):
    return float(np.log2(light / GREY)) if light > 0 else None


# Places


class Face:
    """An ellipse in pixels."""

    def __init__(self, cx, cy, rx, ry):
        self.cx, self.cy, self.rx, self.ry = cx, cy, rx, ry

    def moved(self, dx, dy):
        return Face(self.cx + dx, self.cy + dy, self.rx, self.ry)

    def radii(self, shape):
        """Distance from the centre in radii, for every pixel."""
        y, x = np.ogrid[: shape[0], : shape[1]]
        return np.hypot((x - self.cx) / self.rx, (y - self.cy) / self.ry)

    def window(self, shape):
        reach = 1.8 * max(self.rx, self.ry)
        rows = slice(max(0, int(self.cy - reach)), min(shape[0], int(self.cy + reach)))
        return rows, slice(max(0, int(self.cx - reach)), min(shape[1], int(self.cx + reach)))


def sitter_at(face, shape, reach):
    """Head and body: an ellipse, and what spreads from the neck downwards."""
    y, x = np.mgrid[: shape[0], : shape[1]]
    below = y - (face.cy + 0.8 * face.ry)
    half = np.minimum(2.6 * face.ry, face.rx + 2.2 * below) + (reach - 1.2) * face.ry
    return (face.radii(shape) <= reach) | ((below >= 0) & (np.abs(x - face.cx) <= half))


# Registration


def shift_between(plate, seen):
    """How far the head in one window lies to the right of and below the same head in the other, in pixels."""
    taper = filters.window("hann", plate.shape)
    pictures = [filters.gaussian(np.sqrt(np.maximum(0, one)), 1) * taper for one in (plate, seen)]
    back = registration.phase_cross_correlation(*pictures, upsample_factor=20, normalization=None)[0]
    return -float(back[1]), -float(back[0])


def warped(plane, move):
    """The plane as the head's move takes it along."""
    return transform.warp(plane, transform.EuclideanTransform(translation=(-move[0], -move[1])), mode="edge")


def moves_apart(frame, plates, moved, power, curve, moves):
    """Each light's move by itself, where it shows one: its plate against what the others leave of the frame."""
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


# Powers


def biweight(residual, sigma):
    u = residual / (4.685 * sigma)
    return np.where(np.abs(u) < 1, (1 - u**2) ** 2, 0)


def spread_of(residual):
    return max(0.7, 1.4826 * float(np.median(np.abs(residual))))


def robust_nnls(columns, target, scale):
    """Powers for one curve, residuals in noise of the code values; and the misfit, the mean of Tukey's loss."""
    weights = np.ones_like(target)
    for _ in range(8):
        root = np.sqrt(weights) * scale
        power, _ = optimize.nnls(columns * root[:, None], target * root)
        residual = (target - columns @ power) * scale
        weights = biweight(residual, spread_of(residual))
    u = np.minimum(1, np.abs(residual) / (4.685 * 2))
    return power, float(np.mean(1 - (1 - u**2) ** 3))


def samples_of(frame, dark, lights, inside):
    """Codes at a part of the pixels, channels after one another; none that may be clipped."""
    every = max(1, int(np.sqrt(inside.sum() / 3000)))
    sparse = np.zeros_like(inside)
    sparse[::every, ::every] = True
    pick = [picture[inside & sparse].ravel() for picture in (frame, dark, *lights)]
    usable = np.max(pick, axis=0) < 250 / 255
    return [codes[usable] for codes in pick]


def fit_powers(frame, dark, lights, inside):
    """Each light's power against its plate (linear), even room light set apart, and the curve that fits best."""
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


# The trail


def trail_of(own, expected, near):
    """Pixels of thin bright structures: own light above -3 EV, clear of what plates and noise leave, not specks."""
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


# The room


def in_blocks(plane, size):
    """A plane, or planes, as (rows of blocks, columns of blocks, pixels of a block[, planes])."""
    rows, columns = plane.shape[0] // size, plane.shape[1] // size
    cut = plane[: rows * size, : columns * size].reshape(rows, size, columns, size, *plane.shape[2:])
    return cut.swapaxes(1, 2).reshape(rows, columns, size * size, *plane.shape[2:])


class Wall:
    """Squares of the frame that are wall nearly all over."""

    def __init__(self, wall):
        self.size = round(max(wall.shape) / 36)
        self.shape = wall.shape
        self.whole = in_blocks(wall, self.size).mean(axis=2) >= 0.9
        row, column = np.nonzero(self.whole)
        self.x = (column + 0.5) * self.size / wall.shape[1]
        self.y = (row + 0.5) * self.size / wall.shape[0]

    def of(self, plane, how=np.mean):
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
    """McCamy 1992, from linear sRGB."""
    xyz = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]) @ rgb
    x, y = xyz[:2] / xyz.sum()
    n = (x - 0.332) / (y - 0.1858)
    return float(round((-449 * n**3 + 3525 * n**2 - 6823.3 * n + 5520.33) / 10) * 10)


def side_of(x, y, new):
    """From where the new light comes: a plane through its stops."""
    stops = np.log2(np.maximum(0, new) + 0.05 * max(0, new.mean()) + 1e-6)
    design = np.stack([np.ones_like(x), x - 0.5, y - 0.5], axis=1)
    _, across, down = np.linalg.lstsq(design, stops, rcond=None)[0]
    if max(abs(across), abs(down)) < 0.7:
        return "even"
    if abs(across) >= abs(down):
        return "left" if across < 0 else "right"
    return "top" if down < 0 else "bottom"


def wall_light(curve, frame, dark, lights, power):
    """What each block holds, linear: the dark plate's light, and what is typical of the frame beyond it and the flashes.

    `frame` are the typical codes of each block, `dark` and `lights` their mean ones on the plates.
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
    """A light's strongest patch on the wall, from what each block holds of it on its plate."""
    best = int(np.argmax(patch))
    there = level(power * patch[best])
    if there is None or there < -10:
        return None
    return {"light": id, "levelEv": there, "at": {"x": float(wall.x[best]), "y": float(wall.y[best])}}


# The face


def face_reading(light, seen, trail, own, face):
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
    with np.errstate(divide="ignore"):
        levels = np.log2(seen / GREY)
    edges = np.concatenate(([-np.inf], np.arange(-11.75, 2.3, 0.25), [np.inf]))
    return np.histogram(levels, bins=edges)[0].tolist()


# All of it


def measured(path, plates):
    frame, (width, height) = load(path)
    plates = plates.sized(frame.shape)
    shape = frame.shape[:2]
    seen = PLAIN.light(frame) @ LUMA

    # The head against all lights together, then for each light by itself.
    moves = [shift_between(plates.together, seen[plates.face.window(shape)])] * len(plates.lights)
    for again in range(2):
        face = plates.face.moved(*(np.mean(moves, axis=0) - plates.stand))
        moved = [warped(plate, move) for plate, move in zip(plates.lights, moves)]
        power, curve = fit_powers(frame, plates.dark, moved, face.radii(shape) <= 1.05)
        if not again:
            moves = moves_apart(frame, plates, moved, power, curve, moves)
    darkness = curve.light(plates.dark)
    light = curve.light(frame)

    # The sitter as the move finds them, the wall as it stands.
    sitter = sitter_at(face, shape, 1.2)
    near = sitter_at(face, shape, 1.7)
    own = [curve.light(plate) - darkness for plate in plates.lights]
    flash = sum(p * one for p, one in zip(power, own))
    flash_moved = sum(p * (curve.light(one) - darkness) for p, one in zip(power, moved))
    still, sway = (light - darkness - one for one in (flash, flash_moved))
    either = np.where(np.abs(still) < np.abs(sway), still, sway)
    rest = np.where(sitter[..., None], sway, np.where(near[..., None], either, still))
    expected = np.where(near, np.maximum(flash @ LUMA, flash_moved @ LUMA), flash @ LUMA)

    wall = Wall(~near)
    codes = wall.of(frame, np.median), wall.of(plates.dark), [wall.of(plate) for plate in plates.lights]
    through_fitted, through_plain = (wall_light(one, *codes, power) for one in (curve, PLAIN))
    broad = np.maximum(0, wall.broad(through_fitted[1] @ LUMA))
    own_light = rest @ LUMA - broad
    trail = trail_of(own_light, expected + broad, near)
    luminance = light @ LUMA

    fired = power > 0.1
    lights = [
        {"id": id, "fired": bool(on), "ev": float(np.log2(p)) if on else None}
        for id, on, p in zip(plates.ids, fired, power)
    ]
    spill = [
        spill_reading(wall, id, (curve.light(plate) - through_fitted[0]) @ LUMA, p)
        for id, plate, on, p in zip(plates.ids, codes[2], fired, power)
        if on
    ]
    return {
        "schema": 1,
        "frame": {"file": pathlib.Path(path).name, "width": width, "height": height},
        "lights": lights,
        "ambient": ambient_reading(wall, wall.clear_of(trail), through_fitted, through_plain),
        "spill": [one for one in spill if one],
        "face": {
            **face_reading(luminance, seen, trail, own_light, face),
            "sharpness": sharpness_of(luminance, flash_moved @ LUMA, trail, face) if fired.any() else None,
            "shift": {"x": (face.cx - plates.face.cx) / shape[1], "y": (face.cy - plates.face.cy) / shape[0]},
        },
        "trail": trail_reading(trail, seen, face),
        "histogram": histogram_of(seen),
    }


def main():
    plates = Plates(sys.argv[1])
    for path in sys.argv[2:]:
        began = time.perf_counter()
        reading = measured(path, plates)
        ms = 1000 * (time.perf_counter() - began)
        print(json.dumps({"file": path, "ms": ms, "reading": reading}), flush=True)


if __name__ == "__main__":
    main()
