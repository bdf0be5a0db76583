import {coarseShift, headSpectrum} from './coarse-shift.js';
import {type HeadPlates, type Offset, REGISTER_FLOOR} from './head-plates.js';
import type {HeadWindow, Smoothed} from './head-window.js';
import {type Pose, still} from './pose.js';
import {type Layers, type Refined, refinePose} from './refine-pose.js';

/** No head sways further than this between the plates and a frame, as part of the head's height. */
const FARTHEST = 0.6;

/** Moves between plates that are less than this part of the head's half height are left to the fit. */
const LEAST_OFFSET = 0.01;

export const layersOf = (plates: HeadPlates, pick: (light: Smoothed) => Float32Array): Layers => ({
  width: plates.window.width,
  height: plates.window.height,
  planes: plates.lights.map(pick),
});

/** A pose in the window as one in the frame. */
export const inFrame = (pose: Pose, {left, top, step}: HeadWindow): Pose => ({
  ...pose,
  centre: {x: left + pose.centre.x * step, y: top + pose.centre.y * step},
  dx: pose.dx * step,
  dy: pose.dy * step,
});

/**
 * Finds how the head stands against the plates: phase correlation against all lights together and each alone, then least
 * squares from the best of these (and from standing still), coarse to fine, at last for each light by itself.
 * @returns poses in the window's pixels
 */
export const registerHead = (plates: HeadPlates, frame: Smoothed): Refined => {
  const {face} = plates;
  const {width, height} = plates.window;
  if (plates.lights.length === 0) return {poses: [], misfit: 0, power: new Float64Array(0)};
  const centre = {x: face.cx, y: face.cy};
  const together: Offset[] = plates.lights.map(() => ({dx: 0, dy: 0}));
  // The sitter moved between the plates, or what looked like it was only how the lights fall: both are tried.
  const arrangements = plates.offsets.some(({dx, dy}) => Math.hypot(dx, dy) > LEAST_OFFSET * face.ry)
    ? [together, plates.offsets]
    : [together];
  const seen = headSpectrum(frame.smooth, width, height, face, REGISTER_FLOOR);
  const shifts = plates.spectra.map(spectrum => coarseShift(spectrum, seen, face));
  const starts = arrangements.flatMap(offsets => {
    // The first spectrum is of all lights together, each other one of a light alone.
    const moves: Offset[] = [
      {dx: 0, dy: 0},
      ...shifts.map(({dx, dy}, n) => ({
        dx: dx + (offsets[n - 1]?.dx ?? 0),
        dy: dy + (offsets[n - 1]?.dy ?? 0),
      })),
    ].filter(({dx, dy}) => Math.hypot(dx, dy) <= FARTHEST * 2 * face.ry);
    const apart = moves.filter(
      (move, n) => !moves.slice(0, n).some(({dx, dy}) => Math.hypot(dx - move.dx, dy - move.dy) < 0.02 * face.ry),
    );
    return apart.map(({dx, dy}) =>
      offsets.map((offset): Pose => ({...still(centre), dx: dx - offset.dx, dy: dy - offset.dy})),
    );
  });
  const coarse = layersOf(plates, light => light.smoother);
  // Fine detail alone: broad shading would also be moved by a tone curve that isn't known yet.
  const fine = layersOf(plates, light => light.detail);
  const broad = {values: frame.smoother, light: frame.smooth};
  const sharp = {values: frame.detail, light: frame.smooth};
  const best = starts
    .map(start => refinePose(coarse, broad, face, start, 6, 'together'))
    .map(({poses}) => refinePose(fine, sharp, face, poses, 3, 'together'))
    .reduce((one, other) => (other.misfit < one.misfit ? other : one));
  const turned = refinePose(fine, sharp, face, best.poses, 5, 'turning');
  return plates.lights.length > 1 ? refinePose(fine, sharp, face, turned.poses, 4, 'apart') : turned;
};

/** A misfit beyond this says that the plates don't explain a picture. */
const EXPLAINED = 0.1;

/**
 * The plates, with the face ellipse understood as it lies on the sitter's plate.
 * @param sitter the head on the sitter's plate
 */
export const standingAs = (plates: HeadPlates, sitter: Smoothed): HeadPlates => {
  const {poses, misfit, power} = registerHead(plates, sitter);
  const best = power.indexOf(Math.max(...power));
  const pose = poses[best];
  if (!pose || !(power[best]! > 0) || misfit > EXPLAINED) return plates;
  const own = plates.offsets[best]!;
  return {...plates, stand: {dx: own.dx + pose.dx, dy: own.dy + pose.dy}};
};
