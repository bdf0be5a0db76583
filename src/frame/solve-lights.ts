import {type CurveBelief, firmer, ofKind} from './curve/belief.js';
import {ENOUGH_FRAMES} from './curve/learned-curve.js';
import {firstCurve, plainTable} from './curve/tone-curve.js';
import {addedLight, addedOnSitter, type NewTints} from './fit/added-light.js';
import type {AddedLight} from './fit/added-rows.js';
import {fitLights, type LightFit} from './fit/fit-lights.js';
import {reflecting, tintOnSitter} from './fit/reflected.js';
import {joinSamples, type Samples, samplePoints, withWall} from './fit/samples.js';
import type {PixelEllipse} from './pixel-ellipse.js';
import type {PreparedPlates} from './prepared-plates.js';
import {bodyPoints} from './register/body-points.js';
import {darkPlacement} from './register/dark-pose.js';
import {headOf} from './register/head-plates.js';
import {headPoints, type Points} from './register/head-points.js';
import type {Smoothed} from './register/head-window.js';
import {type Pose, placementOf, still, unmoved} from './register/pose.js';
import {inFrame, registerHead, standOf} from './register/register-head.js';
import {secondPoses} from './register/second-pops.js';
import {type LitWall, mayHaveNewLight, newLightNear, newLightOn, patternOf} from './room/lit-wall.js';
import {wallFitSamples, wallFrame} from './room/wall-samples.js';
import type {WorkImage} from './work-image.js';

/** One set of pops: where each light found the head, and how strong it was against its plate (linear). */
export type Pops = {poses: Pose[]; power: Float64Array};

/** What explains a frame: the pops, the tone curve, and new light on the wall. */
export type Solution = LitWall & {
  first: Pops;
  /** A second set of pops with the head moved between, where there was one. */
  second: Pops | null;
  /** Where the head stands in the main. */
  pose: Pose;
  /** The face ellipse there. */
  face: PixelEllipse;
  fit: LightFit;
  /** The head in its window, and the first set's poses there. */
  onHead: Smoothed;
  windowPoses: Pose[];
  /** How many times what is typical of the wall its brightest pattern shows of new light. */
  pattern: number;
  /** New light counts on the head too. */
  isLit: boolean;
  /** The wall and new light on it once more, through the plain curve; the same where a power or other frames tell the curve. */
  plainly: LitWall;
};

/** Points of the head that are fitted, and how far beyond the face ellipse; points of the body. */
const HEAD_POINTS = 500;
const REACH = 1.05;
const BODY_POINTS = 160;
/** The body doesn't move quite as the head does. */
const BODY_DOUBT = 2.5;
const WALL_DOUBT = 1.2;
/** Gauss-Newton steps for the tone curve. */
const STEPS = 10;
/** New light on the wall counts on the head too from this part of the head's own light on. */
const NEW_LIGHT_COUNTS = 0.01;
/**
 * Where new light lies on the head, a bent curve explains it too: unless other frames tell the curve, its spread is then
 * taken to be this part.
 */
const LIT_CURVE = 0.5;
/** How firmly lights are held to their plates' powers where there may be new light: 1/σ². */
const HELD = 100;
/** Beside new light of this part of the head's own no second pops are looked for: all that it does to the head is misfit. */
const DROWNED = 0.25;
/** A misfit beyond this spread may be a second set of pops; it must take away so much of the misfit, and be so strong. */
const SECOND_SPREAD = 1.6;
const SECOND_GAIN = 0.75;
/** And where it leaves more than this of the misfit of one set, there is none. */
const NO_GAIN = 0.9;
const SECOND_POWER = 0.12;
/** Where every light has less than this part of its power in the weaker of two sets, none popped twice. */
const APART_PART = 0.25;

/** How the head stands against the plate on which the face ellipse was set, as the lights that fired show it. */
const poseOf = ({poses, power}: Pops, {face, head}: PreparedPlates): Pose => {
  const unmoved = still({x: face.cx, y: face.cy});
  const moved = standOf(poses, power, head.offsets, head.window.step);
  if (!moved) return unmoved;
  let best = 0;
  power.forEach((value, k) => {
    if (value > power[best]!) best = k;
  });
  const {step} = head.window;
  return {...poses[best]!, dx: moved.dx - step * head.stand.dx, dy: moved.dy - step * head.stand.dy};
};

const movedBy = (face: PixelEllipse, {dx, dy, scale}: Pose): PixelEllipse => ({
  cx: face.cx + dx,
  cy: face.cy + dy,
  rx: face.rx * scale,
  ry: face.ry * scale,
});

const mostOf = (plane: Float32Array): number => {
  let most = 0;
  for (let at = 0; at < plane.length; at++) if (plane[at]! > most) most = plane[at]!;
  return most;
};

const joinPoints = (one: Points, other: Points): Points => ({
  xs: Float64Array.from([...one.xs, ...other.xs]),
  ys: Float64Array.from([...one.ys, ...other.ys]),
});

type Light = [number, number, number];

const mostLight = (one: Light, other: Light): Light => (Math.max(...one) > Math.max(...other) ? one : other);

/**
 * Samples on the sitter, with every light once more as the second set's poses find it. On the wall both are alike, so that
 * only the sum of their powers could be told there.
 */
const withSecond = (samples: Samples, again: Samples): Samples => ({
  ...samples,
  lights: [...samples.lights, ...again.lights],
  roughness: samples.roughness.map((value, i) => Math.max(value, again.roughness[i]!)),
});

/**
 * Explains a frame by its plates.
 * @param belief what is known of the tone curve
 */
export const solveLights = (frame: WorkImage, plates: PreparedPlates, belief: CurveBelief): Solution => {
  const {width, height} = frame;
  const {face, regions, head} = plates;
  const n = plates.lights.length;
  const onHead = headOf(frame, head, firstCurve);
  const found = registerHead(head, onHead);
  const toFrame = (poses: readonly Pose[]): Pose[] => poses.map(pose => inFrame(pose, head.window));
  let poses = toFrame(found.poses);
  let pose = poseOf({poses, power: found.power}, plates);
  const onWall = wallFrame(frame, plates.wall);
  const wallPart = wallFitSamples(plates.wall, onWall, width, height, WALL_DOUBT);
  const here = movedBy(face, pose);
  const headPart = headPoints(here, width, height, REACH, HEAD_POINTS);
  const bodyPart = bodyPoints(here, regions, width, height, BODY_POINTS);
  const reflectance = {plane: plates.reflectance, width, height};
  const onSitterWith = (of: readonly Pose[], onHeads: Points): Samples => {
    const placements = of.map(placementOf);
    const inDark = darkPlacement(plates, of, found.power) ?? unmoved;
    const sampled = (points: Points, doubt: number): Samples =>
      samplePoints(points, frame, plates.smoothDark, plates.smoothLights, placements, inDark, doubt);
    const sitter = joinSamples([sampled(onHeads, 1), sampled(bodyPart, BODY_DOUBT)]);
    return reflecting(sitter, reflectance, placementOf(pose));
  };
  const sampleWith = (of: readonly Pose[], onHeads: Points): Samples => withWall(onSitterWith(of, onHeads), wallPart);
  const onSitter = onSitterWith(poses, headPart);
  const samples = withWall(onSitter, wallPart);
  let held = belief;
  let tints: NewTints = {wall: [1, 1, 1], sitter: null};
  const shapesOn = (of: Samples): AddedLight[] => addedLight(of, of.count - wallPart.count, here, width, height, tints);
  let shapes = shapesOn(samples);
  const likely = found.power;
  let fit = fitLights(samples, belief, shapes, STEPS, {likely});
  let room = newLightOn(plates.wall, onWall, fit.curve, fit.power);
  const headLight = mostOf(onHead.smooth);
  // A curve that was bent to explain new light as the flashes' hides it: the first curve is asked too.
  const near = mostLight(newLightNear(room), newLightNear(newLightOn(plates.wall, onWall, firstCurve, fit.power)));
  const isLit = Math.max(...near) > NEW_LIGHT_COUNTS * Math.min(0.5, headLight);
  if (isLit) {
    tints = {wall: near, sitter: tintOnSitter(near, onSitter, wallPart)};
    shapes = shapesOn(samples);
    if (belief.frames === 0) held = firmer(belief, 1 / LIT_CURVE ** 2);
  }
  // What new light there is, and a light that shows little on the head, may be taken for one another.
  const hold = isLit || mayHaveNewLight(fit.added, room.newLight) ? HELD : 0;
  if (hold > 0) {
    fit = fitLights(samples, held, shapes, STEPS, {hold, likely});
    room = newLightOn(plates.wall, onWall, fit.curve, fit.power);
  }
  let second: Pops | null = null;
  const isDrowned = Math.max(...near) > DROWNED * headLight;
  if (n > 0 && !isDrowned && fit.spread > SECOND_SPREAD) {
    const tryTwice = (again: readonly Pose[] | null) => {
      if (!again) return null;
      const moved = toFrame(again);
      // The head stood in two places: both are looked at.
      const [from, to] = [poses[0]!, moved[0]!];
      const there = {...here, cx: here.cx + to.dx - from.dx, cy: here.cy + to.dy - from.dy};
      const onHeads = joinPoints(headPart, headPoints(there, width, height, REACH, HEAD_POINTS));
      const both = withSecond(onSitterWith(poses, onHeads), onSitterWith(moved, onHeads));
      const added = tints.sitter ? addedOnSitter(both, both.count, here, tints.sitter) : [];
      const known = ofKind(held, fit.kind);
      const twice = fitLights(both, known, added, STEPS, {mayBePower: false, from: fit.z});
      const isSeen = Math.max(...twice.power.subarray(n)) > SECOND_POWER;
      if (!isSeen || twice.spread > NO_GAIN * fit.spread) return null;
      const alone = sampleWith(poses, onHeads);
      const before = fitLights(alone, known, shapesOn(alone), STEPS, {mayBePower: false, from: fit.z}).spread;
      return {moved, both, added, twice, explains: twice.spread < SECOND_GAIN * before};
    };
    let tried = tryTwice(secondPoses(head, onHead, found));
    if (tried && !tried.explains) {
      // The first set had been given light of the second's: with less of it the second shows better.
      tried = tryTwice(secondPoses(head, onHead, {...found, power: tried.twice.power.slice(0, n)}));
    }
    if (tried?.explains) {
      const {moved, both, added, twice} = tried;
      const once = twice.power.subarray(0, n);
      const more = twice.power.subarray(n, 2 * n);
      // Every light popped once after all, and some where the head stood a little later.
      const areApart = once.every((power, k) => Math.min(power, more[k]!) < APART_PART * Math.max(power, more[k]!));
      if (areApart) {
        const apart = poses.map((own, k) => (more[k]! > once[k]! ? moved[k]! : own));
        const again = fitLights(sampleWith(apart, headPart), held, shapes, STEPS, {hold});
        if (again.spread < fit.spread) {
          [poses, fit] = [apart, again];
          room = newLightOn(plates.wall, onWall, fit.curve, fit.power);
        }
      } else {
        fit = fitLights(both, held, added, STEPS);
        const weaker = fit.power.slice(n, 2 * n);
        second = {poses: moved, power: weaker};
        const sum = weaker.map((value, k) => value + fit.power[k]!);
        room = newLightOn(plates.wall, onWall, fit.curve, sum);
      }
    }
  }
  const first = {poses, power: Float64Array.from(fit.power.subarray(0, n))};
  pose = poseOf(first, plates);
  const total = Float64Array.from(totalPower({first, second}));
  const isTold = fit.isPower || belief.frames >= ENOUGH_FRAMES;
  const plainly = isTold ? room : newLightOn(plates.wall, onWall, plainTable, total);
  return {
    isLit,
    pattern: patternOf(room),
    plainly,
    first,
    second,
    pose,
    face: movedBy(face, pose),
    fit,
    onHead,
    windowPoses: found.poses,
    ...room,
  };
};

/** Each light's power over all its pops, linear. */
export const totalPower = ({first, second}: Pick<Solution, 'first' | 'second'>): number[] =>
  [...first.power].map((power, k) => power + (second?.power[k] ?? 0));
