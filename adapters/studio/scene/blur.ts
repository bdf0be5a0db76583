import {addEnlarged, darkness, type Light} from './light.js';

/** Three box blurs in a row come close to a Gaussian; `sigma` in pixels. Works in place. */
export const soften = (light: Light, sigma: number): void => {
  const radius = Math.max(1, Math.round((Math.sqrt(4 * sigma * sigma + 1) - 1) / 2));
  const line = new Float32Array(Math.max(light.width, light.height));
  for (let pass = 0; pass < 3; pass += 1) {
    for (let y = 0; y < light.height; y += 1) boxLine(light.rgb, y * light.width * 3, 3, light.width, radius, line);
    for (let x = 0; x < light.width; x += 1) boxLine(light.rgb, x * 3, light.width * 3, light.height, radius, line);
  }
};

const boxLine = (
  rgb: Float32Array,
  from: number,
  stride: number,
  count: number,
  radius: number,
  line: Float32Array,
): void => {
  for (let c = 0; c < 3; c += 1) {
    const first = from + c;
    const last = first + (count - 1) * stride;
    let sum = 0;
    for (let i = -radius; i <= radius; i += 1) sum += rgb[Math.min(last, Math.max(first, first + i * stride))]!;
    for (let i = 0; i < count; i += 1) {
      line[i] = sum / (2 * radius + 1);
      const enters = Math.min(last, first + (i + radius + 1) * stride);
      sum += rgb[enters]! - rgb[Math.max(first, first + (i - radius) * stride)]!;
    }
    for (let i = 0; i < count; i += 1) rgb[first + i * stride] = line[i]!;
  }
};

/** What the filter before a sensor does: every pixel takes a quarter from each side, across and down. Works in place. */
export const lowPass = (light: Light): void => {
  for (let y = 0; y < light.height; y += 1) quarterLine(light.rgb, y * light.width * 3, 3, light.width);
  for (let x = 0; x < light.width; x += 1) quarterLine(light.rgb, x * 3, light.width * 3, light.height);
};

const quarterLine = (rgb: Float32Array, from: number, stride: number, count: number): void => {
  for (let c = 0; c < 3; c += 1) {
    let before = rgb[from + c]!;
    for (let i = 0; i < count - 1; i += 1) {
      const at = from + i * stride + c;
      const here = rgb[at]!;
      rgb[at] = (before + 2 * here + rgb[at + stride]!) / 4;
      before = here;
    }
  }
};

/** How many pixels share one pixel of the halo. */
const HALO_STEP = 6;

/** The halo that bright light leaves in the glass: a small part of the picture, spread wide, is added to it. */
export const addHalo = (light: Light, part: number, sigma: number): void => {
  const small = darkness(Math.ceil(light.width / HALO_STEP) + 1, Math.ceil(light.height / HALO_STEP) + 1);
  const share = 1 / (HALO_STEP * HALO_STEP);
  for (let y = 0; y < light.height; y += 1) {
    for (let x = 0; x < light.width; x += 1) {
      const to = (Math.floor(y / HALO_STEP) * small.width + Math.floor(x / HALO_STEP)) * 3;
      const from = (y * light.width + x) * 3;
      small.rgb[to] = small.rgb[to]! + light.rgb[from]! * share;
      small.rgb[to + 1] = small.rgb[to + 1]! + light.rgb[from + 1]! * share;
      small.rgb[to + 2] = small.rgb[to + 2]! + light.rgb[from + 2]! * share;
    }
  }
  soften(small, sigma / HALO_STEP);
  addEnlarged(light, small, HALO_STEP, 0, part);
};
