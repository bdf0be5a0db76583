"""What a trail is in the picture: how far round the head it goes, and whether it crosses the face."""
import numpy as np

from light import GREY, stops

SEEN = GREY * 2.0 ** -3  # light from which on a pixel counts as trail
UNSEEN = GREY * 2.0 ** -5  # a trail that stays below this inside the ellipse doesn't cross it
FEW_PIXELS = 300  # of a picture 1500 px long


def inside(ellipse, x, y, grown=1.0):
    """Whether places x, y lie in an ellipse: centre x, y, half width, half height, all in px."""
    cx, cy, rx, ry = ellipse
    return ((x - cx) / (rx * grown)) ** 2 + ((y - cy) / (ry * grown)) ** 2 <= 1


def measure(own, ellipse, x, y):
    """A trail against an ellipse; own: its luminance (rows, columns) behind the lens.

    coverage: share of all directions from the centre, in steps of 5 degrees, in which it is seen outside. crossing:
    share of the ellipse that it covers. headGap: how far above the ellipse it passes, in heights of the ellipse, or
    None. Also returns the most of its light inside.
    """
    cx, cy, rx, ry = ellipse
    trail, within = own > SEEN, inside(ellipse, x, y)
    out = trail & ~within
    angle = np.degrees(np.arctan2(y[out] - cy, x[out] - cx)) % 360
    coverage = len(np.unique((angle / 5).astype(int) % 72)) / 72.0
    above = trail & (np.abs(x - cx) <= rx) & (y < cy - ry)
    gap = round(float((cy - ry - y[above].max()) / (2 * ry)), 4) if above.any() else None
    figures = {'coverage': round(coverage, 4), 'crossing': round(float((trail & within).sum() / within.sum()), 5),
               'headGap': gap}
    return figures, float(own[within].max()) if within.any() else 0


def trail_truth(own, moved, as_set, x, y):
    """The figures against the ellipse where the head is now and against the ellipse as set."""
    now, now_most = measure(own, moved, x, y)
    then, then_most = measure(own, as_set, x, y)
    if now['crossing'] >= 0.01 and then['crossing'] >= 0.01:
        name = 'crossing'
    elif now['crossing'] == 0 and then['crossing'] == 0 and max(now_most, then_most) < UNSEEN:
        name = 'none'
    else:
        name = 'between'
    return {**now, 'asSet': then, 'crossingClass': name}


def core_level(own):
    """Stops of the trail's core."""
    return round(stops(np.percentile(own[own > 0.3 * own.max()], 90)), 3)


def trail_pixels(own):
    return int((own > SEEN).sum())


def check_frames(frames, ids):
    """That a room's truth agrees with itself and that nothing is missing that every room has."""
    assert 8 <= len(frames) <= 10
    seen = set()
    for frame in frames:
        lamps, trail = frame['lights'], frame['trail']
        assert [lamp['id'] for lamp in lamps] == ids
        assert all((lamp['ev'] is None) == (not lamp['fired']) for lamp in lamps)
        assert (trail is None) == (frame['plan']['trail'] is None) == (frame['trailLight'] is None)
        seen |= {name for name, is_so in {
            'lamp off': any(not lamp['fired'] for lamp in lamps),
            'lamp set wrong': any(lamp['fired'] and abs(lamp['ev']) > 0.4 for lamp in lamps),
            'no trail': trail is None,
            'leak': frame['ambient']['side'] is not None,
            'crossing': trail is not None and trail['crossingClass'] == 'crossing',
            'clean loop': trail is not None and frame['plan']['trail'] == 'loop' and trail['crossingClass'] == 'none'
            and trail['coverage'] >= 0.8}.items() if is_so}
    assert len(seen) == 6, seen
