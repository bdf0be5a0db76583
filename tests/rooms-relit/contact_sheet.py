"""All of a room's pictures on one sheet, with what is true of them."""
import json
import os

from PIL import Image, ImageDraw

EDGE = 330  # px, of each picture's long edge
TEXT = 52  # px below each picture
ACROSS = 1500  # px of the sheet, about


def write_sheet(folder):
    """Writes the sheet beside the room's folder, apart-NN.png."""
    with open(os.path.join(folder, 'truth.json')) as f:
        truth = json.load(f)
    with open(os.path.join(folder, 'plates', 'zones.json')) as f:
        face = json.load(f)['face']
    plates = ['dark'] + ['light-' + lamp['id'] for lamp in truth['room']['lights']]
    shown = [(os.path.join('plates', name + '.jpg'), name, face) for name in plates]
    shown += [(frame['file'], caption(frame), None) for frame in truth['frames']]
    columns, rows = truth['room']['size']
    wide, high = EDGE * columns // max(columns, rows), EDGE * rows // max(columns, rows)
    count = max(1, ACROSS // wide)
    sheet = Image.new('RGB', (count * wide, -(-len(shown) // count) * (high + TEXT)))
    draw = ImageDraw.Draw(sheet)
    for n, (name, text, ellipse) in enumerate(shown):
        x, y = n % count * wide, n // count * (high + TEXT)
        with Image.open(os.path.join(folder, name)) as picture:
            sheet.paste(picture.resize((wide, high), Image.LANCZOS), (x, y))
        if ellipse:
            cx, cy, rx, ry = [ellipse[k] * (wide if k.endswith('x') else high) for k in ('cx', 'cy', 'rx', 'ry')]
            draw.ellipse((x + cx - rx, y + cy - ry, x + cx + rx, y + cy + ry), outline=(0, 90, 0))
        draw.text((x + 3, y + high + 1), text, fill=(255, 255, 0))
    sheet.save(folder + '.png')


def caption(frame):
    """Up to four lines: trail and lamps; leak; crossing and coverage; pops."""
    lamps = [f"{lamp['id']}{lamp['ev']:+.1f}" if lamp['fired'] else f"{lamp['id']}-off" for lamp in frame['lights']]
    trail, ambient, more = frame['trail'], frame['ambient'], []
    if ambient['side']:
        more.append(f"leak {ambient['side']} {ambient['riseEv']:.1f}")
    if trail:
        more.append(f"{trail['crossingClass']} {trail['crossing']:.3f} coverage {trail['coverage']:.2f}")
    if frame['plan']['pops']:
        more.append('pops')
    number = frame['file'][len('frame-'):-len('.jpg')]
    return f"{number} {frame['plan']['trail']} {' '.join(lamps)}\n" + '\n'.join(more)
