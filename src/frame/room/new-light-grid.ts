import {type NewLight, softLightOn} from './new-light.js';

/** New light on a grid that is fine enough for soft light: linear luminance every `step` pixels. */
export type NewLightGrid = {step: number; columns: number; light: Float32Array};

export const newLightGrid = ({parts}: NewLight, width: number, height: number): NewLightGrid => {
  const step = Math.max(4, Math.round(Math.max(width, height) / 100));
  const along = (count: number, size: number): Float64Array =>
    Float64Array.from({length: count}, (_, n) => (n * step + 0.5) / size);
  const columns = Math.ceil(width / step) + 2;
  const rows = Math.ceil(height / step) + 2;
  return {step, columns, light: softLightOn(parts, along(columns, width), along(rows, height))};
};

/** New light at a pixel. */
export const newLightAt = ({step, columns, light}: NewLightGrid, x: number, y: number): number => {
  const column = Math.floor(x / step);
  const row = Math.floor(y / step);
  const fx = x / step - column;
  const at = row * columns + column;
  const top = light[at]! + fx * (light[at + 1]! - light[at]!);
  const bottom = light[at + columns]! + fx * (light[at + columns + 1]! - light[at + columns]!);
  return top + (y / step - row) * (bottom - top);
};
