"""Adds a trail to a frame: one that does what the plan wants of it, with its truth."""
import numpy as np

from light import F, luminance
from trail_light import thrown_light, trail_layer
from trail_truth import FEW_PIXELS, core_level, trail_pixels, trail_truth

TRIES = 8
ROUND_HEAD = ('star', 'heart', 'loop', 'loops', 'spiral', 'radial', 'arch')  # may be made wider to clear the head


def add_trail(shoot, plan, pose, posed, light):
    """Light behind the lens, the trail's truth, its core's level and width, whether it is doubtful, and a note."""
    scene, rng = shoot.scene, shoot.rng
    room, lens = scene.room, scene.lens
    layer, beads, note, truth, width = fitting_trail(shoot, plan, pose, posed)
    own = luminance(layer)
    note['trailPixels'] = trail_pixels(own)
    if shoot.throws and beads:
        thrown, about = throw(rng, shoot, posed, beads)
        light = light + thrown
        note.update(about)
    doubtful = note['trailPixels'] < FEW_PIXELS * room.px ** 2
    level = {'ev': core_level(own), 'width': round(width / room.columns, 5)}
    return lens(light) + layer, truth, level, doubtful, note


def fitting_trail(shoot, plan, pose, posed):
    """Draws trails until one crosses the head, or keeps clear of it, as planned; its layer is behind the lens."""
    room, lens, rng = shoot.scene.room, shoot.scene.lens, shoot.rng
    s = room.sitter
    moved = moved_ellipse(shoot, pose)
    for attempt in range(TRIES):
        ev, width = brightness_and_width(rng, plan, room)
        centre = np.array([s.cx, s.cy]) + np.array(pose.head) * rng.uniform(0.3, 1)
        scale = 1.0
        if plan.trail in ROUND_HEAD:
            wider = 1.0 + 0.12 * attempt * plan.clean
            scale = min(wider, 1.9 * ((s.cy - 0.02 * room.rows) / s.ry) / 2.2)  # but not out of the picture
        layer, beads, note = trail_layer(rng, room, posed, plan.trail, ev, width, centre, scale,
                                         single=plan.clean or plan.dim)
        layer = lens(layer)
        truth = trail_truth(luminance(layer), moved, shoot.ellipse, s.x, s.y)
        if plan.clean and (truth['crossingClass'] != 'none' or truth['coverage'] < 0.8):
            continue
        if plan.cross and truth['crossingClass'] != 'crossing':
            continue
        return layer, beads, note, truth, width
    raise AssertionError(f'no such trail: {plan}')


def moved_ellipse(shoot, pose):
    """The ellipse as set, moved with the head; it stays upright."""
    s, lens = shoot.scene.room.sitter, shoot.scene.lens
    way = lens.image_of(s.where(pose, (s.cx, s.cy))) - lens.image_of((s.cx, s.cy))
    cx, cy, rx, ry = shoot.ellipse
    return (cx + way[0], cy + way[1], rx, ry)


def brightness_and_width(rng, plan, room):
    """Stops of a trail's core from middle grey, and its width in px."""
    px, head_height = room.px, room.sitter.head_height
    ev = float(rng.uniform(-1.2, 4.5)) if rng.random() < 0.75 else float(rng.uniform(2, 4))
    if plan.dim:
        ev, width = float(rng.uniform(-1.5, -0.3)), float(rng.uniform(3, 6)) * px
    else:
        width = float(np.exp(rng.uniform(np.log(3), np.log(20)))) * px
    width = min(width, 0.09 * head_height)
    if plan.clean:
        ev, width = float(rng.uniform(0.3, 3.6)), min(width, 12.0 * px)
    if plan.cross:
        ev, width = float(rng.uniform(0.5, 4.2)), max(width, 0.03 * head_height)
    return ev, width


def throw(rng, shoot, posed, beads):
    """What a trail's lamp throws on the scene, and a note of how much."""
    light = thrown_light(rng, shoot.scene.room, posed, beads)
    own = luminance(light)
    head = posed.head * posed.alpha
    on_head = float((own * head).sum() / head.sum())
    most = 10 ** rng.uniform(-3, -1.7) * shoot.head_light
    on_wall = float(np.percentile(own[posed.alpha < 0.1], 98))
    gain = min(most / max(on_head, 1e-9), most / max(on_wall, 1e-9))
    wall = posed.alpha < 0.01
    over_dark = 1 + gain * own[wall].mean() / luminance(shoot.dark)[wall].mean()
    return light * F(gain), {'throw': round(gain * on_head / shoot.head_light, 6),
                                      'throwOnWallOverAmbientEv': round(float(np.log2(over_dark)), 3)}
