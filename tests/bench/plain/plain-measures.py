"""The measures of a frame, written plainly with scikit-image and SciPy: what our own are held against in speed and value.

Run: /usr/bin/python3 tests/bench/plain/plain-measures.py PLATES_FOLDER FRAME...
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

from pictures import LUMA, PLAIN, load, sitter_at
from plates import Plates, fit_powers, moves_apart, shift_between, warped
from readings import (
    Wall,
    ambient_reading,
    face_reading,
    histogram_of,
    sharpness_of,
    spill_reading,
    trail_of,
    trail_reading,
    wall_light,
)


def measured(path, plates):
    """The reading of one frame, as a dict."""
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
