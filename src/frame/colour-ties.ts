import {sampleAt} from './bilinear.js';
import type {ColourTies} from './curve/plate-curve.js';
import type {PixelEllipse} from './pixel-ellipse.js';
import type {Offset} from './register/head-plates.js';
import {headPoints} from './register/head-points.js';
import type {WallPlates} from './room/wall-samples.js';
import type {WorkImage} from './work-image.js';

/** Points of the head that are looked at. */
const HEAD_POINTS = 400;
/** A channel must be this much above the dark plate, in code values, and not clipped. */
const LEAST_OVER_DARK = 3;
const CLIPPED = 250;
/** Error of a smoothed code value, the part of it that no plate is better than, and where plates are misplaced, in pixels. */
const CODE_ERROR = 0.7;
const PART_ERROR = 0.012;
const PLACE_ERROR = 0.25;

/** Code values at places: of one plate by channel (r, g, b), of the dark plate, and how much they change within a pixel. */
type Places = {codes: Float64Array[]; dark: Float64Array[]; rough: Float64Array[]};

/** Green is in every ratio: it is the least noisy. */
const RATIOS = [
  [0, 1],
  [2, 1],
] as const;

/** Ties of places: within each plate, or of every two plates at the same places. */
const tiesOf = (terms: 2 | 4, plates: readonly Places[]): ColourTies => {
  const codes: number[] = [];
  const darkCodes: number[] = [];
  const errors: number[] = [];
  const groups: number[] = [];
  const sides =
    terms === 2
      ? plates.map(plate => [plate])
      : plates.flatMap((one, k) => plates.slice(k + 1).map(other => [one, other]));
  let group = 0;
  for (const side of sides) {
    for (const [over, under] of RATIOS) {
      const channels = side.flatMap(plate => [over, under].map(c => ({...plate, c})));
      const count = side[0]!.codes[0]!.length;
      for (let i = 0; i < count; i++) {
        const isSeen = channels.every(({codes: own, dark, c}) => {
          return own[c]![i]! - dark[c]![i]! > LEAST_OVER_DARK && own[c]![i]! < CLIPPED;
        });
        if (!isSeen) continue;
        for (const {codes: own, dark, rough, c} of channels) {
          codes.push(own[c]![i]!);
          darkCodes.push(dark[c]![i]!);
          errors.push(Math.hypot(CODE_ERROR, PART_ERROR * own[c]![i]!, PLACE_ERROR * rough[c]![i]!));
        }
        groups.push(group);
      }
      group++;
    }
  }
  return {
    terms,
    codes: Float64Array.from(codes),
    darkCodes: Float64Array.from(darkCodes),
    errors: Float64Array.from(errors),
    groups: Int32Array.from(groups),
    groupCount: group,
  };
};

const channelsOf = ({r, g, b}: WorkImage): Float32Array[] => [r, g, b];

/**
 * @param offsets where the head stands on each plate against the first one's, in pixels
 */
const headPlaces = (
  dark: WorkImage | null,
  lights: readonly WorkImage[],
  face: PixelEllipse,
  offsets: readonly Offset[],
): Places[] => {
  const [first] = lights;
  if (!first) return [];
  const {width, height} = first;
  const {xs, ys} = headPoints(face, width, height, 1, HEAD_POINTS);
  return lights.map((light, k) => {
    const {dx, dy} = offsets[k]!;
    const at = (plane: Float32Array, x: number, y: number): number => sampleAt(plane, width, height, x + dx, y + dy);
    const sampled = (plane: Float32Array) => Float64Array.from(xs, (x, i) => at(plane, x, ys[i]!));
    return {
      codes: channelsOf(light).map(sampled),
      dark: dark ? channelsOf(dark).map(sampled) : channelsOf(light).map(() => new Float64Array(xs.length)),
      rough: channelsOf(light).map(plane =>
        Float64Array.from(xs, (x, i) => {
          const y = ys[i]!;
          const across = Math.abs(at(plane, x + 1, y) - at(plane, x - 1, y));
          return Math.max(across, Math.abs(at(plane, x, y + 1) - at(plane, x, y - 1))) / 2;
        }),
      ),
    };
  });
};

const wallPlaces = ({fitted}: WallPlates): Places[] => {
  const count = fitted.which.length;
  const byChannel = (values: Float64Array) => [0, 1, 2].map(c => values.subarray(c * count, (c + 1) * count));
  const even = byChannel(new Float64Array(3 * count));
  return fitted.lights.map(light => ({codes: byChannel(light), dark: byChannel(fitted.dark), rough: even}));
};

/** Where the plates' colours should be even: on the head between every two lights, on the wall within each. */
export const colourTies = (
  dark: WorkImage | null,
  lights: readonly WorkImage[],
  face: PixelEllipse,
  offsets: readonly Offset[],
  wall: WallPlates,
): ColourTies[] => [tiesOf(4, headPlaces(dark, lights, face, offsets)), tiesOf(2, wallPlaces(wall))];
