import {levelEv} from '../../shared/level.js';
import type {Measurement} from '../../shared/reading.js';
import type {Ellipse, Zones} from '../../shared/zones.js';
import type {CodedImage} from './decode/coded.js';
import {decodeFrame} from './decode/decode.js';
import {guessFace} from './guess-face.js';
import {type LightImage, luminanceOf} from './light-image.js';
import {linearTable, srgbToLinear, toLight} from './linearise.js';
import {nonNegativeLeastSquares} from './nnls.js';
import type {PlateSet} from './plates.js';

const light = (image: CodedImage): LightImage =>
  toLight(image, linearTable(image.depth, srgbToLinear), Math.max(image.width, image.height) > 1000 ? 2 : 1);

const finite = (value: number): number | null => (Number.isFinite(value) ? value : null);
const median = (values: number[]): number => values.sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? 0;

const inside = (face: Ellipse, x: number, y: number, scale: number): boolean =>
  ((x - face.cx) / (face.rx * scale)) ** 2 + ((y - face.cy) / (face.ry * scale)) ** 2 <= 1;

/** Measures one frame against the plates. */
export const measureFrame = async (
  file: string,
  plates: PlateSet | null,
  zones: Zones | null,
): Promise<Measurement> => {
  const began = performance.now();
  const frame = await decodeFrame(file);
  const decodeMs = performance.now() - began;
  const missing: string[] = [];
  const image = light(frame.image);
  const {width, height} = image;
  const luminance = luminanceOf(image);
  const same = (coded: CodedImage | undefined) =>
    coded && coded.width === frame.image.width && coded.height === frame.image.height
      ? luminanceOf(light(coded))
      : null;
  const dark = same(plates?.dark?.image) ?? new Float32Array(luminance.length);
  const lights = (plates?.lights ?? []).flatMap(plate => {
    const own = same(plate.frame.image);
    return own ? [{id: plate.id, own: own.map((value, at) => Math.max(0, value - dark[at]!))}] : [];
  });
  const face = zones?.face ?? plates?.zones?.face ?? guessFace(luminance, width, height);
  const inFace: number[] = [];
  const onWall: number[] = [];
  for (let y = 0, at = 0; y < height; y++) {
    for (let x = 0; x < width; x++, at++) {
      const fx = (x + 0.5) / width;
      const fy = (y + 0.5) / height;
      if (inside(face, fx, fy, 1)) inFace.push(at);
      else if (!inside(face, fx, fy, 1.3) && !(fy > face.cy && Math.abs(fx - face.cx) < 2.5 * face.rx)) onWall.push(at);
    }
  }
  const n = lights.length;
  const gram = new Float64Array(n * n);
  const moment = new Float64Array(n);
  for (const at of inFace) {
    const weight = 1 / (0.002 + luminance[at]!);
    for (let i = 0; i < n; i++) {
      moment[i] = moment[i]! + weight * lights[i]!.own[at]! * (luminance[at]! - dark[at]!);
      for (let j = 0; j < n; j++)
        gram[i * n + j] = gram[i * n + j]! + weight * lights[i]!.own[at]! * lights[j]!.own[at]!;
    }
  }
  const power = nonNegativeLeastSquares(gram, moment);
  const counts = new Array<number>(48).fill(0);
  for (const value of luminance) {
    const bin = Math.floor((levelEv(Math.max(value, 1e-9)) + 12) / 0.25);
    const kept = Math.min(47, Math.max(0, bin));
    counts[kept] = counts[kept]! + 1;
  }
  const faceLevel = inFace.reduce((sum, at) => sum + luminance[at]!, 0) / inFace.length;
  const wallLevel = median(onWall.map(at => luminance[at]!));
  const darkLevel = median(onWall.map(at => dark[at]!));
  return {
    schema: 1,
    frame: {file: frame.label, width: frame.width, height: frame.height, ...frame.exif},
    lights: lights.map(({id}, at) => ({
      id,
      fired: power[at]! > 0.15,
      ev: power[at]! > 0.15 ? Math.log2(power[at]!) : null,
    })),
    ambient: {
      levelEv: finite(levelEv(wallLevel)),
      riseEv: plates?.dark ? finite(Math.log2(wallLevel / darkLevel)) : null,
      side: null,
      kelvin: null,
    },
    spill: [],
    face: {
      levelEv: finite(levelEv(faceLevel)),
      clippedFraction: inFace.filter(at => luminance[at]! >= 0.98).length / Math.max(1, inFace.length),
      leftRightEv: null,
      sharpness: null,
      shift: {x: 0, y: 0},
      doubled: false,
    },
    trail: null,
    histogram: {fromEv: -12, stepEv: 0.25, counts},
    missing,
    timing: {decodeMs, measureMs: performance.now() - began - decodeMs},
  };
};
