"""Modelled busts: drawn by walking along each pixel's ray to the surface."""
import numpy as np

from bust_features import draw_features
from bust_paint import Paint, Surface
from bust_shape import CLOTH, HAIR, LIPS, SKIN, distance, parts
from layer import FAR, Layer
from light import F

WIDE, TALL, ABOVE = 5.8, 9.8, 1.7  # the picture, and how much of it lies above the head's centre, half head heights
CORNERS = ((1, -1, -1), (-1, -1, 1), (-1, 1, -1), (1, 1, 1))  # of a tetrahedron


def new_bust(rng, head_px, **fixed):
    """A bust whose head is head_px high; fixed: features not left to chance."""
    features = draw_features(rng, fixed)
    half = head_px / 2.0
    surface = find_surface(features, half)
    paint = Paint(rng, features, surface)
    return to_layer(features, surface, paint, half)


def find_surface(features, half):
    """The points seen by a camera far in front; half: px per half head height."""
    rows, columns = int(TALL * half), int(WIDE * half)
    x, y = np.meshgrid((np.arange(columns) - columns / 2 + 0.5) / half, (np.arange(rows) + 0.5) / half - ABOVE)
    x, y = x.ravel().astype(F), y.ravel().astype(F)
    z, hit = walk_rays(features, x, y)
    where = np.where(hit)[0]
    p = [x[where], y[where], z[where]]
    material_distances, q = parts(features, p)
    nearest = np.argmin(np.stack([d for _, d in material_distances]), 0)
    material = np.array([m for m, _ in material_distances])[nearest]
    return Surface((rows, columns), where, p, q, surface_normals(features, p), material)


def walk_rays(features, x, y):
    """How far each ray (n,) gets, z, and whether it met the bust."""
    z = np.full(x.size, 1.7, F)
    hit = np.zeros(x.size, bool)
    active = np.arange(x.size)
    for _ in range(48):
        d = distance(features, [x[active], y[active], z[active]])
        met = d < 0.004
        hit[active[met]] = True
        z[active] -= np.maximum(d, 0.003) * F(0.9) * (~met)
        active = active[(~met) & (z[active] > -1.3)]
        if active.size == 0:
            break
    if active.size:  # grazing rays that were still on their way
        hit[active] |= distance(features, [x[active], y[active], z[active]]) < 0.02
    return z, hit


def surface_normals(features, p):
    """Normals (n, 3): the distance's gradient, out of four samples around each place."""
    step = F(0.008)
    n = 0
    for corner in CORNERS:
        d = distance(features, [p[j] + step * corner[j] for j in range(3)])
        n = n + np.stack([d * corner[j] for j in range(3)], -1)
    return n / (np.linalg.norm(n, axis=-1, keepdims=True) + 1e-9)


def to_layer(features, surface, paint, half):
    """The surface's points as maps."""
    rows, columns = surface.shape

    def image(values, channels=1, fill=0):
        flat = np.full((rows * columns, channels), fill, F)
        flat[surface.where] = values.reshape(len(surface.where), channels)
        return flat.reshape(rows, columns, channels).squeeze()

    material, p, q = surface.material, surface.p, surface.q
    is_head = ((material != CLOTH) & (p[1] < 1.15) & ~((material == HAIR) & (q[1] > 1.0))
               & ~((material == SKIN) & (q[1] > 0.96)))
    head = image(is_head.astype(F))
    f = features
    return Layer(albedo=image(paint.albedo, 3), normal=image(surface.normal, 3), height=image(p[2] * half, 1, FAR),
                 alpha=image(np.ones(len(p[0]))), head=head, spec=image(paint.spec), gloss=image(paint.gloss, 1, 12),
                 skin=image(((material == SKIN) | (material == LIPS)).astype(F)),
                 ellipse=head_ellipse(head > 0.5, f.hat), tone=paint.tone,
                 note=f'bust hair={f.hair} hat={f.hat} glasses={bool(f.glasses)} beard={bool(f.beard)} '
                      f'tone={paint.tone:.2f} yaw={f.yaw:.0f} cloth={paint.cloth_note}')


def head_ellipse(head, hat):
    """What a user would draw round the head (rows, columns): centre x, y, half width, half height in px."""
    y, x = np.where(head)
    y0, y1 = np.percentile(y, 0.2), y.max()
    # round the head, not the whole brim of a hat
    x0, x1 = np.percentile(x, [3, 97] if hat == 'brim' else [0.4, 99.6])
    return (x0 + x1) / 2, (y0 + y1) / 2, (x1 - x0) / 2 * 1.02, (y1 - y0) / 2 * 1.01
