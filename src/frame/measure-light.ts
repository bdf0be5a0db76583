import {levelEv} from '../../shared/level.js';
import type {Measurement} from '../../shared/reading.js';
import type {Ellipse} from '../../shared/zones.js';
import {plainTable} from './curve/tone-curve.js';
import {type ActiveLight, expectedLight} from './expected-light.js';
import {fitLights, type LightFit} from './fit/fit-lights.js';
import {samplePoints} from './fit/samples.js';
import {luminanceOf} from './light-image.js';
import {inPixels, type PixelEllipse, radiiSquared} from './pixel-ellipse.js';
import {firstCurve, luminanceThrough, type PreparedPlates} from './prepared-plates.js';
import {regionMap} from './regions.js';
import {headPoints} from './register/head-points.js';
import {type Pose, placementOf, still} from './register/pose.js';
import {registerHead} from './register/register-head.js';
import {fitNewLight, newLightPlane, type Sides} from './room/new-light.js';
import {blockMeans, blockMedians, wallBlocks} from './room/wall-blocks.js';
import {trailCandidates} from './trail/own-light.js';
import {trailMask} from './trail/trail-mask.js';
import {trailReading} from './trail/trail-reading.js';
import type {WorkImage} from './work-image.js';

export type LightReading = Pick<Measurement, 'lights' | 'ambient' | 'spill' | 'face' | 'trail'>;

const finite = (value: number): number | null => (Number.isFinite(value) ? value : null);
const FIRED = 0.1;

const meanPose = (poses: readonly Pose[], power: Float64Array): Pose => {
  let best = 0;
  power.forEach((value, k) => {
    if (value > power[best]!) best = k;
  });
  return poses[best]!;
};

/** Everything that the plates let be measured of a frame's light. */
export const measureLight = (
  frame: WorkImage,
  plates: PreparedPlates,
  ellipse: Ellipse,
): LightReading & {fit: LightFit; poses: Pose[]} => {
  const {width, height} = frame;
  const face = inPixels(ellipse, width, height);
  const luminance = luminanceThrough(frame, firstCurve);
  const aboveDark = luminance.map((value, at) => value - plates.darkLuminance[at]!);
  const {poses, power} =
    plates.lights.length > 0 ? registerHead(plates, aboveDark, face) : {poses: [], power: new Float64Array(0)};
  const pose = meanPose(poses, power) ?? still({x: face.cx, y: face.cy});
  const moved: PixelEllipse = {...face, cx: face.cx + pose.dx, cy: face.cy + pose.dy};
  const points = headPoints(moved, width, height, 1.05, 2000);
  const samples = samplePoints(points, frame, plates.smoothDark, plates.smoothLights, poses.map(placementOf));
  const fit = fitLights(samples, {z: [0, 0, 0], sigma: 1}, false, 10);
  const regions = regionMap(moved, width, height);
  const active: ActiveLight[] = plates.lights.flatMap(({image}, k) =>
    fit.power[k]! > 0 ? [{image, power: fit.power[k]!, placement: placementOf(poses[k]!)}] : [],
  );
  const light = expectedLight(frame, plates, active, fit.curve, regions);
  const rest = luminanceOf(light.rest);
  const expected = luminanceOf(light.expected);
  const blocks = wallBlocks(regions, width, height);
  const darkLight = plates.dark ? luminanceThrough(plates.dark, fit.curve) : new Float32Array(rest.length);
  const darkBlocks = blockMeans(blocks, darkLight, width);
  const flashBlocks = blockMeans(blocks, expected, width).map((value, i) => Math.max(0, value - darkBlocks[i]!));
  const seenBlocks = blockMedians(blocks, rest, width);
  const newLight = fitNewLight(
    blocks,
    seenBlocks,
    flashBlocks.map(value => 0.0004 + 0.1 * value),
  );
  const plane = newLightPlane(newLight, width, height);
  const candidates = trailCandidates(light, plane, regions);
  const mask = trailMask(candidates, regions, width, height);
  const seen = luminanceThrough(frame, plainTable);
  const trail = trailReading(mask, candidates.own, seen, width, height, moved);
  const mean = (values: Float64Array): number =>
    values.reduce((sum, value) => sum + value, 0) / Math.max(1, values.length);
  const darkLevel = mean(darkBlocks);
  const added = Math.max(0, mean(newLight.blocks));
  const strip = (pick: (x: number, y: number) => boolean): number => {
    const chosen = [...newLight.blocks].filter((_, i) => pick(blocks[i]!.x, blocks[i]!.y));
    return chosen.reduce((sum, value) => sum + value, 0) / Math.max(1, chosen.length);
  };
  const sides: Sides = {
    left: strip(x => x < 0.25),
    right: strip(x => x > 0.75),
    top: strip((_, y) => y < 0.25),
    bottom: strip((_, y) => y > 0.75),
  };
  const rise = Math.log2((darkLevel + added) / darkLevel);
  const side = rise < 0.25 ? null : sideOf(sides, added);
  let left = 0,
    right = 0,
    total = 0,
    count = 0,
    leftCount = 0,
    clippedCount = 0;
  for (let at = 0; at < seen.length; at++) {
    const x = at % width;
    if (radiiSquared(moved, x, (at - x) / width) > 1) continue;
    count++;
    total += expected[at]! + Math.min(0, rest[at]!) * 0;
    if (seen[at]! >= 0.98) clippedCount++;
    if (x < moved.cx) {
      left += expected[at]!;
      leftCount++;
    } else right += expected[at]!;
  }
  return {
    fit,
    poses,
    lights: plates.lights.map(({id}, k) => ({
      id,
      fired: fit.power[k]! > FIRED,
      ev: fit.power[k]! > FIRED ? Math.log2(fit.power[k]!) : null,
    })),
    ambient: {
      levelEv: finite(levelEv(darkLevel + added)),
      riseEv: plates.dark ? finite(rise) : null,
      side,
      kelvin: null,
    },
    spill: [],
    face: {
      levelEv: finite(levelEv(total / Math.max(1, count))),
      clippedFraction: clippedCount / Math.max(1, count),
      leftRightEv: finite(Math.log2(left / Math.max(1, leftCount) / (right / Math.max(1, count - leftCount)))),
      sharpness: null,
      shift: {x: pose.dx / width, y: pose.dy / height},
      doubled: false,
    },
    trail,
  };
};

const sideOf = ({left, right, top, bottom}: Sides, added: number) => {
  const floor = 0.05 * added + 1e-6;
  const across = Math.log2((left + floor) / (right + floor));
  const down = Math.log2((top + floor) / (bottom + floor));
  if (Math.max(Math.abs(across), Math.abs(down)) < 0.7) return 'even' as const;
  if (Math.abs(across) > Math.abs(down)) return across > 0 ? ('left' as const) : ('right' as const);
  return down > 0 ? ('top' as const) : ('bottom' as const);
};
