import type {Light} from './room.js';

/** Three box blurs in a row come close to a Gaussian; `sigma` in pixels. Works in place. */
export const soften = (light: Light, sigma: number): void => {
  const radius = Math.max(1, Math.round((Math.sqrt(4 * sigma * sigma + 1) - 1) / 2));
  const line = new Float32Array(Math.max(light.width, light.height) * 3);
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
    const at = (i: number): number => rgb[from + Math.min(count - 1, Math.max(0, i)) * stride + c]!;
    let sum = 0;
    for (let i = -radius; i <= radius; i += 1) sum += at(i);
    for (let i = 0; i < count; i += 1) {
      line[i] = sum / (2 * radius + 1);
      sum += at(i + radius + 1) - at(i - radius);
    }
    for (let i = 0; i < count; i += 1) rgb[from + i * stride + c] = line[i]!;
  }
};

/** The halo that bright light leaves in the glass: a small part of the picture, spread wide, is added to it. */
export const addHalo = (light: Light, part: number, sigma: number): void => {
  const step = 6;
  const small: Light = {
    width: Math.ceil(light.width / step),
    height: Math.ceil(light.height / step),
    rgb: new Float32Array(Math.ceil(light.width / step) * Math.ceil(light.height / step) * 3),
  };
  for (let y = 0; y < light.height; y += 1) {
    for (let x = 0; x < light.width; x += 1) {
      const to = (Math.floor(y / step) * small.width + Math.floor(x / step)) * 3;
      const from = (y * light.width + x) * 3;
      for (let c = 0; c < 3; c += 1) small.rgb[to + c] = small.rgb[to + c]! + light.rgb[from + c]! / (step * step);
    }
  }
  soften(small, sigma / step);
  for (let y = 0; y < light.height; y += 1) {
    const sy = Math.min(small.height - 1.001, Math.max(0, (y + 0.5) / step - 0.5));
    const iy = Math.min(small.height - 2, Math.floor(sy));
    const fy = sy - iy;
    for (let x = 0; x < light.width; x += 1) {
      const sx = Math.min(small.width - 1.001, Math.max(0, (x + 0.5) / step - 0.5));
      const ix = Math.min(small.width - 2, Math.floor(sx));
      const fx = sx - ix;
      const from = (iy * small.width + ix) * 3;
      const below = from + small.width * 3;
      const to = (y * light.width + x) * 3;
      for (let c = 0; c < 3; c += 1) {
        const above = small.rgb[from + c]! * (1 - fx) + small.rgb[from + 3 + c]! * fx;
        const under = small.rgb[below + c]! * (1 - fx) + small.rgb[below + 3 + c]! * fx;
        light.rgb[to + c] = light.rgb[to + c]! + part * (above * (1 - fy) + under * fy);
      }
    }
  }
};
