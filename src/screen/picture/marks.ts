import type {Reading} from '../../../shared/reading.js';
import type {Ellipse, Zones} from '../../../shared/zones.js';
import type {Picture} from '../../frame/picture.js';
import type {Label} from './half-blocks.js';
import {lumaOf} from './tone.js';

/** What may be drawn over a picture. */
export type Marks = {zones: Zones | null; reading: Reading | null};

const copyOf = (picture: Picture): Picture => ({...picture, rgb: picture.rgb.slice()});

/** A pixel that stands out from what it lies on: white on dark, black on bright. */
const put = (picture: Picture, x: number, y: number): void => {
  const [column, row] = [Math.round(x), Math.round(y)];
  if (column < 0 || row < 0 || column >= picture.width || row >= picture.height) return;
  const offset = 3 * (row * picture.width + column);
  picture.rgb.fill(lumaOf(picture.rgb, offset) > 140 ? 0 : 255, offset, offset + 3);
};

const outline = (picture: Picture, ellipse: Ellipse): void => {
  const [width, height] = [picture.width, picture.height];
  const [rx, ry] = [ellipse.rx * width, ellipse.ry * height];
  const steps = Math.ceil(2 * Math.PI * Math.max(rx, ry) * 1.5);
  const seen = new Set<number>();
  for (let step = 0; step < steps; step++) {
    const angle = (step / steps) * 2 * Math.PI;
    const x = Math.round(ellipse.cx * width - 0.5 + rx * Math.cos(angle));
    const y = Math.round(ellipse.cy * height - 0.5 + ry * Math.sin(angle));
    // Put once a pixel: a second visit would turn it round again.
    const place = y * 100_000 + x;
    if (seen.has(place)) continue;
    seen.add(place);
    put(picture, x, y);
  }
};

/** A tick outside the face for each of the 72 directions in which the trail passes. */
const trailTicks = (picture: Picture, face: Ellipse, directions: boolean[]): void => {
  for (const [index, passes] of directions.entries()) {
    if (!passes) continue;
    const angle = (index / directions.length) * 2 * Math.PI;
    for (const far of picture.width > 200 ? [1.25, 1.28, 1.31, 1.34] : [1.3]) {
      put(
        picture,
        (face.cx + far * face.rx * Math.cos(angle)) * picture.width - 0.5,
        (face.cy + far * face.ry * Math.sin(angle)) * picture.height - 0.5,
      );
    }
  }
};

const cross = (picture: Picture, x: number, y: number): void => {
  const arm = Math.max(1, Math.round(picture.width / 60));
  for (let step = -arm; step <= arm; step++) {
    put(picture, x * picture.width + step, y * picture.height + step);
    if (step !== 0) put(picture, x * picture.width + step, y * picture.height - step);
  }
};

/** The picture with the face's outline, the trail's directions and the crossing drawn over it. */
export const withMarks = (picture: Picture, marks: Marks): Picture => {
  const drawn = copyOf(picture);
  if (marks.zones) outline(drawn, marks.zones.face);
  const trail = marks.reading?.trail;
  if (trail && marks.zones) trailTicks(drawn, marks.zones.face, trail.directions);
  if (trail?.crossingAt) cross(drawn, trail.crossingAt.x, trail.crossingAt.y);
  return drawn;
};

/** Letters where each light's spill is strongest. */
export const spillLabels = (marks: Marks, columns: number, rows: number): Label[] =>
  (marks.reading?.spill ?? [])
    .filter(spill => spill.levelEv > -9)
    .map(spill => ({
      column: Math.min(columns - 1, Math.max(0, Math.floor(spill.at.x * columns))),
      row: Math.min(rows - 1, Math.max(0, Math.floor(spill.at.y * rows))),
      text: spill.light,
    }));
