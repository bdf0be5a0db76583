import type {Measurement} from '../../shared/reading.js';
import {TOE_TERM} from './curve/basis.js';
import {anyCurve, type CurveBelief, ofKind, POWERS} from './curve/belief.js';
import type {CurveEvidence} from './curve/learned-curve.js';
import {askingPlates, withToeGiven} from './curve/plate-curve.js';
import {plainTable, type ToneTable} from './curve/tone-curve.js';
import {faceReading} from './face-reading.js';
import {type ActiveLight, pixelLight} from './pixel-light.js';
import type {PreparedPlates} from './prepared-plates.js';
import {type RegionMap, regionMap} from './regions.js';
import {darkPlacement} from './register/dark-pose.js';
import {placementOf} from './register/pose.js';
import {ambientReading} from './room/ambient-reading.js';
import {newLightGrid} from './room/new-light-grid.js';
import {spillReading} from './room/spill-reading.js';
import {bytes, floats} from './scratch.js';
import {expectedInWindow, relativeSharpness} from './sharpness.js';
import {type Pops, type Solution, solveLights, totalPower} from './solve-lights.js';
import {withoutFaint} from './trail/faint.js';
import {loneCandidates} from './trail/lone-trail.js';
import {trailCandidates} from './trail/own-light.js';
import {trailMask} from './trail/trail-mask.js';
import {trailReading} from './trail/trail-reading.js';
import {pixelsToExplain, trailLightBy} from './trail/where-to-look.js';
import {luminanceThrough, type WorkImage} from './work-image.js';

export type LightMeasurement = Pick<Measurement, 'lights' | 'ambient' | 'spill' | 'face' | 'trail'>;

/** A light counts as fired from this part of its plate's power on: three and a third stops down. */
const FIRED = 0.1;
/** Where the wall has risen by so many stops, from this part on: what of that light lies on the head looks like a flash's. */
const FIRED_BESIDE = 0.15;
const RISEN = 1;
/** Where the room's own light lies on the head and may look a little like a light's, from this part of its power on. */
const FIRED_IN_LIGHT = 0.2;
/** A frame that is explained worse than this, or that other light lies on, says nothing of the curve. */
const TELLS = 1.6;
/** Lights of this power show in a sum. */
const SHOWN = 0.25;
/** Light under this part of its plate's power changes nothing that is looked at. */
const COUNTS = 0.003;

const activeLights = (pops: readonly Pops[]): ActiveLight[] =>
  pops.flatMap(({poses, power}) =>
    [...power].flatMap((own, index) =>
      own > COUNTS ? [{index, power: own, placement: placementOf(poses[index]!)}] : [],
    ),
  );

const lightReadings = (
  plates: PreparedPlates,
  solution: Solution,
  riseEv: number | null,
): LightMeasurement['lights'] => {
  const total = totalPower(solution);
  const besideWall = (riseEv ?? 0) >= RISEN ? FIRED_BESIDE : FIRED;
  const least = solution.isLit ? FIRED_IN_LIGHT : besideWall;
  return plates.lights.map(({id}, k) => {
    const fired = total[k]! > least;
    return {id, fired, ev: fired ? Math.log2(total[k]!) : null};
  });
};

/** The trail's pixels and the light beyond plates and room, over the frame. */
export const findTrail = (frame: WorkImage, plates: PreparedPlates, solution: Solution) => {
  const {width, height} = plates;
  const {fit, first, second} = solution;
  const regions = regionMap(solution.face, width, height);
  if (plates.lights.length === 0) return findLone(frame, fit.curve, regions);
  const lights = activeLights(second ? [first, second] : [first]);
  const newLight = newLightGrid(solution.newLight, width, height);
  const {face} = solution;
  const pixels = pixelsToExplain(frame, fit.curve, regions, newLight);
  const explained = pixelLight(
    frame,
    plates,
    {lights, inDark: darkPlacement(plates, first.poses, first.power), newLight, curve: fit.curve, regions, face},
    pixels,
  );
  const candidates = trailCandidates(
    explained,
    trailLightBy(fit.curve),
    {
      brightest: Math.max(plates.brightestReflectance, solution.pattern),
      things: plates.things,
      darkShare: plates.darkShare,
    },
    regions,
    face,
    {dx: face.cx - plates.face.cx, dy: face.cy - plates.face.cy},
    width,
  );
  return {candidates, mask: trailMask(withoutFaint(candidates, regions, width, height), regions, width, height)};
};

const findLone = (frame: WorkImage, curve: ToneTable, regions: RegionMap) => {
  const {width, height} = frame;
  const luminance = luminanceThrough(frame, curve);
  const lone = loneCandidates(luminance, regions, width, height);
  const none = {
    pixels: new Int32Array(0),
    mask: bytes(luminance.length),
    own: luminance,
    sure: floats(luminance.length),
    outline: bytes(luminance.length),
    outOfShadow: new Int32Array(0),
    uncovered: bytes(luminance.length),
    lines: null,
    headLight: 0,
    newLight: luminance,
  };
  return {candidates: lone ?? none, mask: lone ? trailMask(lone, regions, width, height) : none.mask};
};

const sharpnessOf = ({head, width}: PreparedPlates, solution: Solution, trail: Uint8Array): number | null => {
  if (![...solution.first.power].some(power => power > FIRED)) return null;
  const {window} = head;
  const moved = solution.windowPoses[0]!;
  const face = {...head.face, cx: head.face.cx + moved.dx, cy: head.face.cy + moved.dy};
  const expected = expectedInWindow(
    head.lights.map(light => light.smooth),
    solution.windowPoses.map(placementOf),
    solution.first.power,
    face,
    window.width,
    window.height,
  );
  const crossed = (at: number): boolean => {
    const x = Math.round(window.left + (at % window.width) * window.step);
    const y = Math.round(window.top + Math.floor(at / window.width) * window.step);
    return trail[y * width + x] === 1;
  };
  return relativeSharpness(solution.onHead.smooth, expected, window.width, window.height, face, crossed);
};

/** What a frame says of the camera's tone curve that holds for others. */
const evidenceOf = (solution: Solution): CurveEvidence | null => {
  const {fit, second, isLit} = solution;
  const {againstPowers, kind, kinds} = fit;
  const isClear = !isLit && !second && fit.spread < TELLS;
  // Where it was known beforehand that the curve is a power, or that it is none, the frame says nothing of that.
  if (!isClear || (againstPowers === null && fit.isPower)) return null;
  const isSum = totalPower(solution).filter(own => own > SHOWN).length > 1;
  return {
    kind,
    kinds: isSum ? kinds : null,
    againstPowers: againstPowers ?? POWERS.map(() => 0),
  };
};

/** Toes that differ by less than this are as good as the same. */
const SAME_TOE = 0.05;

/** Explains a frame, and once more where the plates tell another toe with the curve that the frame tells. */
const solveAsking = (frame: WorkImage, plates: PreparedPlates, belief: CurveBelief): Solution => {
  const asked = askingPlates(belief, plates.curve);
  const solution = solveLights(frame, plates, asked);
  const {fit} = solution;
  if (belief.frames > 0 || fit.isPower) return solution;
  const known = ofKind(asked, fit.kind);
  const again = withToeGiven(known, plates.curve, fit.z);
  if (Math.abs(again.z[TOE_TERM]! - known.z[TOE_TERM]!) < SAME_TOE) return solution;
  const solved = solveLights(frame, plates, again);
  const {kind, kinds} = fit;
  const told = {z: solved.fit.z, against: kinds[kind]?.against ?? 0};
  return {...solved, fit: {...solved.fit, kinds: {...kinds, [kind]: told}}};
};

/** What a frame says of the camera's tone curve; null where it says nothing that holds for others. */
export const curveEvidence = (frame: WorkImage, plates: PreparedPlates): CurveEvidence | null =>
  plates.lights.length === 0 ? null : evidenceOf(solveAsking(frame, plates, anyCurve));

/**
 * Measures a frame's light against its plates.
 * @returns what it holds, and what it says of the camera's tone curve; null where it says nothing that holds for others
 */
export const measureLight = (
  frame: WorkImage,
  plates: PreparedPlates,
  belief: CurveBelief,
): {measured: LightMeasurement; evidence: CurveEvidence | null} => {
  const {width, height} = frame;
  const solution = solveAsking(frame, plates, belief);
  const {face, fit, pose, second} = solution;
  const {candidates, mask} = findTrail(frame, plates, solution);
  const ambient = ambientReading(plates.wall, solution, solution.plainly, plates.dark !== null);
  const lights = lightReadings(plates, solution, ambient.riseEv);
  const power = totalPower(solution);
  // Nothing tells the camera's curve without plates; the plain one at least is the same for every frame.
  const faceCurve = plates.lights.length === 0 ? plainTable : fit.curve;
  const measured = {
    lights,
    ambient,
    spill: spillReading(
      lights.map(({id, fired}, k) => ({id, power: fired ? power[k]! : 0})),
      plates.wall,
      solution.wall,
      solution.newLight.blocks,
      fit.curve,
    ),
    face: {
      ...faceReading(frame, faceCurve, face, mask, candidates.own),
      sharpness: second ? null : sharpnessOf(plates, solution, mask),
      shift: {x: pose.dx / width, y: pose.dy / height},
      doubled: second !== null,
    },
    trail: trailReading(mask, candidates.pixels, candidates.own, frame, face),
  };
  return {measured, evidence: evidenceOf(solution)};
};
