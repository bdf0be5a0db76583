import type {Rgb} from './colour.js';
import type {Form} from './form.js';
import {addWeighted, darkness, type Light} from './light.js';
import type {Relief} from './relief.js';
import {addWall} from './room.js';

/** One light's share: what it makes of the wall (coarse, see Wall) and of the sitter. Either may be missing. */
export type Layers = {wall: Light | null; form: Form | null};

/** What happened while the sitter stood in one place: the shift against the relief in pixels, and the lights with their strengths. */
export type Instant = {shift: {x: number; y: number}; lights: {of: Layers; gain: Rgb}[]};

/** Adds what one instant leaves: the wall where the sitter does not stand before it, the sitter where he does. */
export const addInstant = (light: Light, instant: Instant, relief: Relief | null): void => {
  const walls = instant.lights.flatMap(({of, gain}) => (of.wall ? [{wall: of.wall, gain}] : []));
  const seen = darkness(light.width, light.height);
  if (walls.length > 0) {
    const sum = darkness(walls[0]!.wall.width, walls[0]!.wall.height);
    for (const {wall, gain} of walls) addWeighted(sum.rgb, wall.rgb, gain);
    addWall(seen, sum);
  }
  if (relief) {
    const form = new Float32Array(relief.cover.length * 3);
    for (const {of, gain} of instant.lights) if (of.form) addWeighted(form, of.form, gain);
    cover(seen, relief, form, instant.shift);
  }
  addWeighted(light.rgb, seen.rgb, [1, 1, 1]);
};

/** Lays the sitter over the picture, moved by a part of a pixel: four pixels of the relief share each one. */
const cover = (seen: Light, relief: Relief, form: Form, shift: {x: number; y: number}): void => {
  const x0 = relief.left + Math.floor(shift.x);
  const y0 = relief.top + Math.floor(shift.y);
  const fx = shift.x - Math.floor(shift.x);
  const fy = shift.y - Math.floor(shift.y);
  const {width, height, rgb} = seen;
  for (let y = Math.max(0, y0); y < height; y += 1) {
    // Past the relief's last row, which the picture's edge cut, the coat goes on as that row.
    const row = Math.min(relief.height - 1, y - y0);
    const above = Math.max(0, Math.min(relief.height - 1, y - y0 - 1));
    const rowPart = y - y0 === 0 ? 0 : fy;
    if (y - y0 > relief.height && y0 + relief.height < height - 40) break;
    for (let x = Math.max(0, x0); x < Math.min(width, x0 + relief.width + 1); x += 1) {
      const column = x - x0;
      let covered = 0;
      let r = 0;
      let g = 0;
      let b = 0;
      for (let corner = 0; corner < 4; corner += 1) {
        const sx = corner & 1 ? column - 1 : column;
        if (sx < 0 || sx >= relief.width) continue;
        const part = (corner & 1 ? fx : 1 - fx) * (corner & 2 ? rowPart : 1 - fy);
        const at = (corner & 2 ? above : row) * relief.width + sx;
        const weight = part * relief.cover[at]!;
        if (weight <= 0) continue;
        covered += weight;
        r += weight * form[at * 3]!;
        g += weight * form[at * 3 + 1]!;
        b += weight * form[at * 3 + 2]!;
      }
      if (covered <= 0) continue;
      const to = (y * width + x) * 3;
      rgb[to] = rgb[to]! * (1 - covered) + r;
      rgb[to + 1] = rgb[to + 1]! * (1 - covered) + g;
      rgb[to + 2] = rgb[to + 2]! * (1 - covered) + b;
    }
  }
};
