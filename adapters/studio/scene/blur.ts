import {addEnlarged, darkness, type Light} from './light.js';

/** Blurs with a Gaussian of `sigma` pixels, in place; at the edges the last pixel goes on. */
export const soften = (light: Light, sigma: number): void => {
  const radius = Math.max(1, Math.ceil(sigma * 3));
  const kernel = Float32Array.from({length: radius + 1}, (_, i) => Math.exp(-(i * i) / (2 * sigma * sigma)));
  const whole = kernel.reduce((sum, part, i) => sum + (i === 0 ? part : 2 * part), 0);
  const shares = kernel.map(part => part / whole);
  const line = new Float32Array(Math.max(light.width, light.height) + 2 * radius);
  for (let y = 0; y < light.height; y += 1) softenLine(light.rgb, y * light.width * 3, 3, light.width, shares, line);
  for (let x = 0; x < light.width; x += 1) softenLine(light.rgb, x * 3, light.width * 3, light.height, shares, line);
};

const softenLine = (
  rgb: Float32Array,
  from: number,
  stride: number,
  count: number,
  shares: Float32Array,
  line: Float32Array,
): void => {
  const radius = shares.length - 1;
  for (let c = 0; c < 3; c += 1) {
    const first = from + c;
    for (let i = 0; i < count; i += 1) line[i + radius] = rgb[first + i * stride]!;
    line.fill(line[radius]!, 0, radius);
    line.fill(line[count + radius - 1]!, count + radius, count + 2 * radius);
    for (let i = 0; i < count; i += 1) {
      const middle = i + radius;
      let sum = line[middle]! * shares[0]!;
      for (let k = 1; k <= radius; k += 1) sum += (line[middle - k]! + line[middle + k]!) * shares[k]!;
      rgb[first + i * stride] = sum;
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
