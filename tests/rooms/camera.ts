import sharp from 'sharp';
import {blur, broadBlur} from './blur.js';
import {decodeSrgb, encodeSrgb, type LightMap, smoothstep} from './light-map.js';
import {type Random, seeded} from './random.js';

/** How a camera's JPEG bends tones: scene-linear 0..1 to encoded 0..1. */
export type CurveName = 'none' | 'mild S' | 'strong S' | 'filmic' | 'lifted' | 'gamma' | 'base' | 'crushed' | 'steep';

const curves: Record<CurveName, (linear: number) => number> = {
  none: encodeSrgb,
  'mild S': linear => mix(encodeSrgb(linear), 0.35),
  'strong S': linear => mix(encodeSrgb(linear), 0.7),
  filmic: linear => encodeSrgb(((1 - Math.exp(-1.1 * linear)) / (1 - Math.exp(-1.1))) ** 1.15),
  lifted: linear => 0.035 + 0.965 * encodeSrgb(linear),
  gamma: linear => encodeSrgb(linear) ** 1.18,
  base: linear => encodeSrgb(Math.min(1, (linear * 1.7 * (1 + linear * 0.55)) / (1 + linear * 1.635))),
  crushed: linear => Math.max(0, (mix(encodeSrgb(linear), 0.4) - 0.012) / 0.988),
  steep: linear => {
    const v = encodeSrgb(linear);
    return v + 0.1 * Math.sin(2 * Math.PI * (v - 0.5)) * (v > 0 ? 1 : 0);
  },
};

function mix(encoded: number, strength: number): number {
  return encoded + strength * (smoothstep(0, 1, encoded) - encoded);
}

/** What the curve makes of a scene value, read back as if it were plain sRGB: 0..1. */
export const seenThrough = (curve: CurveName, linear: number): number =>
  decodeSrgb(Math.min(1, Math.max(0, curves[curve](Math.min(1, Math.max(0, linear))))));

export type HotPixel = {x: number; y: number; channel: number; level: number};

export type Camera = {
  curve: CurveName;
  /** Gains of red, green, blue. */
  whiteBalance: readonly [number, number, number];
  /** Light lost in the corners, 0..0.7. */
  vignette: number;
  /** Lens blur, sigma in pixels of the render. */
  blurSigma: number;
  /** Part of the light that spreads into a broad halo. */
  bloom: number;
  /** Electrons at full scale, and read noise as a fraction of full scale. */
  fullWell: number;
  readNoise: number;
  /** Noise smeared by the camera's own smoothing, sigma in pixels; 0 none. */
  noiseSmear: number;
  /** Hot pixels of this body, positions as fractions of the frame. */
  hotPixels: HotPixel[];
  jpegQuality: number;
  chroma: '4:2:0' | '4:4:4';
  orientation: 1 | 3 | 6 | 8;
  profile: 'srgb' | 'p3';
  /** Output pixels per rendered pixel. */
  enlarge: number;
};

/** Light lost towards the corners, in place. */
export const vignetted = (map: LightMap, camera: Camera): void => {
  const {width, height, data} = map;
  const reach = Math.hypot(width, height) / 2;
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const r = Math.hypot(x - width / 2, y - height / 2) / reach;
      const gain = 1 - camera.vignette * r * r;
      const at = (y * width + x) * 3;
      data[at]! *= gain;
      data[at + 1]! *= gain;
      data[at + 2]! *= gain;
    }
  }
};

const withHalo = (map: LightMap, camera: Camera): void => {
  const {width, height, data} = map;
  if (camera.bloom <= 0) return;
  const halo = Float32Array.from(data);
  broadBlur(halo, width, height, 3, Math.max(width, height) * 0.012);
  for (let i = 0; i < data.length; i++) data[i] = data[i]! * (1 - camera.bloom) + halo[i]! * camera.bloom;
};

/** The lens: blur, halo and vignetting, in place. All three are linear, so layers may pass one by one. */
export const throughLens = (map: LightMap, camera: Camera): void => {
  blur(map.data, map.width, map.height, 3, camera.blurSigma);
  withHalo(map, camera);
  vignetted(map, camera);
};

/** The same for a layer that was drawn as soft as the lens leaves it. */
export const throughLensSoft = (map: LightMap, camera: Camera): void => {
  withHalo(map, camera);
  vignetted(map, camera);
};

/** Standard normal numbers, drawn once; frames read them from places of their own. */
const normals = ((): Float32Array => {
  const random = seeded('noise');
  return Float32Array.from({length: 65_536}, () => random.normal());
})();

/** Curve as a table over the square root of linear light: fine where it is dark. */
const tableOf = (curve: CurveName): Float32Array =>
  Float32Array.from({length: 8193}, (_, i) => 255 * Math.min(1, Math.max(0, curves[curve]((i / 8192) ** 2))));

/** A strip of the enlarged picture: bilinear samples of row `y` of the output. */
const enlargedRow = (map: LightMap, y: number, scale: number, row: Float32Array): void => {
  const {width, height, data} = map;
  const sy = Math.min(height - 1, Math.max(0, (y + 0.5) / scale - 0.5));
  const y0 = Math.min(height - 2, Math.floor(sy));
  const fy = sy - y0;
  for (let x = 0; x < row.length / 3; x++) {
    const sx = Math.min(width - 1, Math.max(0, (x + 0.5) / scale - 0.5));
    const x0 = Math.min(width - 2, Math.floor(sx));
    const fx = sx - x0;
    const at = (y0 * width + x0) * 3;
    for (let c = 0; c < 3; c++) {
      const top = data[at + c]! * (1 - fx) + data[at + 3 + c]! * fx;
      const bottom = data[at + width * 3 + c]! * (1 - fx) + data[at + width * 3 + 3 + c]! * fx;
      row[x * 3 + c] = top * (1 - fy) + bottom * fy;
    }
  }
};

/**
 * The sensor and the camera's own processing: noise, hot pixels, white balance, curve, 8 bits, JPEG with Exif.
 * @param map light on the sensor, as the lens left it
 */
export const develop = async (
  map: LightMap,
  camera: Camera,
  frame: {random: Random; newHotPixels: HotPixel[]; balanceShift: readonly [number, number, number]; takenAt: string},
): Promise<Buffer> => {
  const scale = camera.enlarge;
  const width = map.width * scale;
  const height = map.height * scale;
  const codes = Buffer.alloc(width * height * 3);
  const table = tableOf(camera.curve);
  const hot = new Map<number, number>();
  for (const {x, y, channel, level} of [...camera.hotPixels, ...frame.newHotPixels]) {
    const at = (Math.floor(y * height) * width + Math.floor(x * width)) * 3;
    hot.set(at + channel, level);
    hot.set(at + ((channel + 1) % 3), level * 0.25);
  }
  const {noiseSmear, readNoise, fullWell} = camera;
  // A generator of its own (xorshift), since a frame asks for millions of numbers.
  let state = Math.floor(frame.random.next() * 2 ** 31) + 1;
  const noiseRow = new Float32Array(width * 3);
  const drawNoise = (): void => {
    for (let i = 0; i < noiseRow.length; i++) {
      state ^= state << 13;
      state ^= state >>> 17;
      state ^= state << 5;
      noiseRow[i] = normals[state & 65_535]!;
    }
  };
  const smeared = noiseSmear > 0 && scale === 1 ? new Float32Array(width * height * 3) : null;
  if (smeared) {
    for (let y = 0; y < height; y++) {
      drawNoise();
      smeared.set(noiseRow, y * width * 3);
    }
    blur(smeared, width, height, 3, noiseSmear);
    let sum = 0;
    for (let i = 0; i < smeared.length; i += 97) sum += smeared[i]! ** 2;
    const unit = 1 / Math.sqrt(sum / Math.ceil(smeared.length / 97));
    for (let i = 0; i < smeared.length; i++) smeared[i]! *= unit;
  }
  const gains = camera.whiteBalance.map((gain, c) => gain * frame.balanceShift[c]!);
  const row = new Float32Array(width * 3);
  for (let y = 0; y < height; y++) {
    const start = y * width * 3;
    if (scale === 1) row.set(map.data.subarray(start, start + width * 3));
    else enlargedRow(map, y, scale, row);
    if (smeared) noiseRow.set(smeared.subarray(start, start + width * 3));
    else drawNoise();
    for (let i = 0; i < row.length; i++) {
      const light = Math.min(1, row[i]!);
      const sigma = Math.sqrt(light / fullWell + readNoise * readNoise);
      row[i] = light + sigma * noiseRow[i]!;
    }
    for (const [at, level] of hot) if (at >= start && at < start + row.length) row[at - start]! += level;
    for (let i = 0; i < row.length; i++) {
      const value = Math.min(1, Math.max(0, Math.min(1, row[i]!) * gains[i % 3]!));
      codes[start + i] = Math.round(table[Math.round(Math.sqrt(value) * 8192)]!);
    }
  }
  const turn = {1: 0, 3: 180, 6: 270, 8: 90}[camera.orientation];
  const raw = {raw: {width, height, channels: 3 as const}};
  const turned =
    turn === 0
      ? {data: codes, info: {width, height}}
      : await sharp(codes, raw).rotate(turn).raw().toBuffer({resolveWithObject: true});
  let picture = sharp(turned.data, {raw: {width: turned.info.width, height: turned.info.height, channels: 3}});
  if (camera.profile === 'p3') picture = picture.withIccProfile('p3');
  return picture
    .withMetadata({orientation: camera.orientation})
    .withExif({
      IFD0: {Orientation: String(camera.orientation)},
      IFD2: {
        ExposureTime: '8/1',
        FNumber: '8/1',
        ISOSpeedRatings: '100',
        DateTimeOriginal: frame.takenAt,
      },
    })
    .jpeg({quality: camera.jpegQuality, chromaSubsampling: camera.chroma})
    .toBuffer();
};
