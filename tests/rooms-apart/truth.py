"""What a trail is, told from its own light alone."""
import numpy as np

from linear import GREY, ev

TRAIL_EV = -3  # from here on light counts as trail


def trail_truth(room, own, cx, cy, turn):
    """The trail's numbers for the face ellipse about cx, cy px, turned by degrees: gaps in heads, the others shares.

    `own`: the trail's luminance (rows, columns).
    """
    mask = own > ev(TRAIL_EV)
    face = room.inside(cx, cy, turn)
    x, y = room.x, room.y
    out = mask & ~face
    ang = np.rad2deg(np.arctan2(y[out] - cy, x[out] - cx)) % 360
    coverage = len(np.unique((ang // 5).astype(int))) / 72
    # the same at the 72 rays themselves
    near = np.abs((ang + 2.5) % 5 - 2.5) < 0.4
    rays = len(np.unique(((ang[near] + 2.5) // 5).astype(int) % 72)) / 72
    gaps = []
    for half in (1.0, 0.5):
        above = mask & (np.abs(x - cx) <= half * room.rx) & (y < cy - room.ry)
        gaps.append(float((cy - room.ry - y[above].max()) / (2 * room.ry)) if above.any() else None)
    return {'coverage': round(coverage, 4), 'coverageRays': round(rays, 4),
            'crossing': round(float(mask[face].mean()), 5),
            'skirtsEv': round(float(np.log2(max(own[face].max(), 1e-6) / GREY)), 2),
            'headGap': gaps[0], 'headGapNarrow': gaps[1]}


def crossing_class(truths):
    """Whether the face is crossed wherever it is taken to be, nowhere, or something in between."""
    if min(one['crossing'] for one in truths) >= 0.01:
        return 'crossing'
    if max(one['crossing'] for one in truths) == 0 and max(one['skirtsEv'] for one in truths) < -5:
        return 'none'
    return 'between'


def seen_trail(room, own, cx, cy, turn, size):
    """The trail's truth for the face where it is and (asSet) where it was set, or None if it is too dim to be one.

    And whether there is so little of it that nobody need see it. `size`: the frame's long edge, px.
    """
    pixels = int((own > ev(TRAIL_EV)).sum())
    doubtful = pixels < 300 * (size / 1500) ** 2
    if not pixels:
        return None, doubtful
    moved = trail_truth(room, own, cx, cy, turn)
    as_set = trail_truth(room, own, room.cx, room.cy, 0)
    return {**moved, 'asSet': as_set, 'crossingClass': crossing_class([moved, as_set])}, doubtful


def leak_truth(rise, side, before, new):
    """A leak's rise as meant and at the wall's median pixel, EV; before, new: luminance (n,) of the wall's pixels."""
    return {'riseEv': round(rise, 3), 'side': side,
            'riseMedianEv': round(float(np.log2(np.median(before + new) / np.median(before))), 3)}
