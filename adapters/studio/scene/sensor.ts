import type {Light} from './light.js';
import {randomOf} from './random.js';

/** What the camera's own parts add. */
export type SensorSettings = {
  /** Names the camera: its hot pixels and grain are its own. */
  seed: number;
  /** Number of the frame: noise never repeats. */
  frame: number;
  iso: number;
  seconds: number;
  /** Strength of the contrast curve that the camera lays over its JPEGs; 0 leaves plain sRGB. */
  contrast: number;
  /** Light lost in the corners, EV. */
  vignettingEv: number;
  sensorWidthMillimetres: number;
  sensorHeightMillimetres: number;
};

/** Electrons that a square micrometre of the sensor holds at ISO 100, and its read noise in electrons a pixel. */
const FULL_WELL_PER_SQUARE_MICROMETRE = 1500;
const READ_NOISE = 3.2;
/** Electrons a second and pixel that a warm sensor makes by itself. */
const DARK_CURRENT = 0.12;
const HOT_PER_MEGAPIXEL = 14;

/** Linear light to 8-bit code: sRGB, then a contrast curve around middle grey. One entry for each 1/65535 of full scale. */
export const curveTable = (contrast: number): Uint8Array => {
  const table = new Uint8Array(65_536);
  for (let i = 0; i < 65_536; i += 1) {
    const linear = i / 65_535;
    const plain = linear <= 0.0031308 ? linear * 12.92 : 1.055 * linear ** (1 / 2.4) - 0.055;
    table[i] = Math.round(255 * bend(plain, contrast));
  }
  return table;
};

/** Code of middle grey in plain sRGB, 0 to 1: references, sRGB of 0.18. */
const GREY = 0.461356;

/**
 * A smooth S through black, middle grey and white, `contrast` steeper at middle grey than plain. Its ends keep a slope, as
 * cameras leave something in the shadows.
 */
const bend = (value: number, contrast: number): number => {
  const strength = contrast / (GREY * (1 - GREY));
  return value + strength * value * (1 - value) * (value - GREY);
};

const GRAINS = 1 << 16;
let grainTable: Float32Array | null = null;

/** Normal deviates to draw noise from by an index: quick enough for 24 million pixels. */
const grains = (): Float32Array => {
  if (grainTable) return grainTable;
  const random = randomOf('grain');
  grainTable = Float32Array.from({length: GRAINS}, () => random.normal());
  return grainTable;
};

type HotPixel = {x: number; y: number; channel: number; electronsPerSecond: number};

const hotPixelsOf = (seed: number, width: number, height: number): HotPixel[] => {
  const random = randomOf(seed, 'hot pixels');
  const count = Math.round((width * height * HOT_PER_MEGAPIXEL) / 1e6);
  return Array.from({length: count}, () => ({
    x: Math.floor(random.next() * width),
    y: Math.floor(random.next() * height),
    channel: Math.floor(random.next() * 3),
    electronsPerSecond: 900 * 10 ** random.between(-0.6, 1.1),
  }));
};

/**
 * Takes the picture: enlarges the light to the sensor's size, adds vignetting, photon, read and dark noise and hot
 * pixels, clips, and lays the camera's curve over it.
 * @returns 8-bit RGB, row by row
 */
export const develop = (light: Light, width: number, height: number, settings: SensorSettings): Buffer => {
  const out = Buffer.allocUnsafe(width * height * 3);
  const table = curveTable(settings.contrast);
  const noise = grains();
  const area = (settings.sensorWidthMillimetres * 1000 * settings.sensorHeightMillimetres * 1000) / (width * height);
  const fullScale = (FULL_WELL_PER_SQUARE_MICROMETRE * area * 100) / settings.iso;
  const dark = DARK_CURRENT * settings.seconds * (area / 36);
  const floor2 = READ_NOISE * READ_NOISE * (1 + 40 / settings.iso) + dark;
  let state = (randomOf(settings.seed, 'noise', settings.frame).next() * 4294967296) | 1;
  const step = light.width / width;
  const corner = 1 - 2 ** -settings.vignettingEv;
  const row = new Float32Array(width * 3);
  const hot = groupByRow(hotPixelsOf(settings.seed, width, height));
  for (let y = 0; y < height; y += 1) {
    enlargeRow(light, row, y, width, step);
    for (const {x, channel, electronsPerSecond} of hot.get(y) ?? []) {
      row[x * 3 + channel] = row[x * 3 + channel]! + (electronsPerSecond * settings.seconds * (area / 36)) / fullScale;
    }
    const dy = ((y + 0.5) / height) * 2 - 1;
    for (let x = 0; x < width; x += 1) {
      const dx = ((x + 0.5) / width) * 2 - 1;
      const r2 = (dx * dx + dy * dy) / 2;
      const falloff = 1 - corner * r2 * (0.6 + 0.4 * r2);
      for (let c = 0; c < 3; c += 1) {
        state ^= state << 13;
        state ^= state >>> 17;
        state ^= state << 5;
        const electrons = row[x * 3 + c]! * falloff * fullScale;
        const noisy = (electrons + Math.sqrt(electrons + floor2) * noise[state & (GRAINS - 1)]!) / fullScale;
        out[(y * width + x) * 3 + c] = table[noisy <= 0 ? 0 : noisy >= 1 ? 65_535 : (noisy * 65_535) | 0]!;
      }
    }
  }
  return out;
};

const groupByRow = (pixels: HotPixel[]): Map<number, HotPixel[]> => {
  const rows = new Map<number, HotPixel[]>();
  for (const pixel of pixels) rows.set(pixel.y, [...(rows.get(pixel.y) ?? []), pixel]);
  return rows;
};

const enlargeRow = (light: Light, row: Float32Array, y: number, width: number, step: number): void => {
  if (step === 1) {
    row.set(light.rgb.subarray(y * width * 3, (y + 1) * width * 3));
    return;
  }
  const sy = Math.min(light.height - 1, Math.max(0, (y + 0.5) * step - 0.5));
  const iy = Math.min(light.height - 2, Math.floor(sy));
  const fy = sy - iy;
  const above = iy * light.width * 3;
  const below = above + light.width * 3;
  for (let x = 0; x < width; x += 1) {
    const sx = Math.min(light.width - 1, Math.max(0, (x + 0.5) * step - 0.5));
    const ix = Math.min(light.width - 2, Math.floor(sx));
    const fx = sx - ix;
    for (let c = 0; c < 3; c += 1) {
      const i = ix * 3 + c;
      const top = light.rgb[above + i]! * (1 - fx) + light.rgb[above + i + 3]! * fx;
      const bottom = light.rgb[below + i]! * (1 - fx) + light.rgb[below + i + 3]! * fx;
      row[x * 3 + c] = top * (1 - fy) + bottom * fy;
    }
  }
};
