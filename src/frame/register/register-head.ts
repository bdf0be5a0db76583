import type {PixelEllipse} from '../pixel-ellipse.js';
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
  if (plates.lights.length === 0) return {poses: [], misfit: 0, unexplained: 1, lost: 0, power: new Float64Array(0)};
  const centre = {x: face.cx, y: face.cy};
  // Where nothing lit the head there is nothing to find.
  if (!frame.smooth.some(light => light > REGISTER_FLOOR)) {
    const power = new Float64Array(plates.lights.length);
    return {poses: plates.lights.map(() => still(centre)), misfit: 0, unexplained: 1, lost: 0, power};
  }
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
    .map(start => refinePose(coarse, broad, face, start, 6, 'together', FEW_POINTS))
    .map(({poses}) => refinePose(fine, sharp, face, poses, 3, 'together', FEW_POINTS))
    .reduce((one, other) => (other.unexplained < one.unexplained ? other : one));
  const turned = refinePose(fine, sharp, face, best.poses, 5, 'turning', POINTS);
  if (plates.lights.length === 1) return turned;
  const apart = refinePose(fine, sharp, face, turned.poses, APART_ROUNDS, 'apart', POINTS);
  return withLostLights(
    apart,
    plates.offsets,
    poses => refinePose(fine, sharp, face, poses, 0, 'apart', POINTS),
    face,
    again => refinePose(fine, sharp, face, again, APART_ROUNDS, 'apart', POINTS),
  );
};

/** Points of the head that are looked at for a first choice, and then. */
export const FEW_POINTS = 400;
export const POINTS = 900;
/** Steps at most for lights that move apart. */
const APART_ROUNDS = 8;
/** A light this weak may have fired with the head elsewhere than on its plate; how far, in half heights, it is looked for. */
const LOST_POWER = 0.15;
/** One up to here is looked for just where its plate says that it should be. */
const MAY_BE_LOST = 0.45;
const LOST_MOVES = [0.06, 0.12];
const LOST_DIRECTIONS = 8;
/** What part of the head must be explained more for a light to have been found again. */
const FOUND_GAIN = 0.006;

/** Where a lost light's plate may have the head: as the plates stand to one another, and about where it was looked for. */
const placesOf = (k: number, {poses, power}: Refined, offsets: readonly Offset[], face: PixelEllipse): Offset[] => {
  const strongest = power.indexOf(Math.max(...power));
  const [from, own] = [poses[strongest]!, poses[k]!];
  const places: Offset[] = [
    {dx: from.dx + offsets[strongest]!.dx - offsets[k]!.dx, dy: from.dy + offsets[strongest]!.dy - offsets[k]!.dy},
  ];
  for (const move of LOST_MOVES) {
    for (let n = 0; n < LOST_DIRECTIONS; n++) {
      const angle = (2 * Math.PI * n) / LOST_DIRECTIONS;
      places.push({dx: own.dx + move * face.ry * Math.cos(angle), dy: own.dy + move * face.ry * Math.sin(angle)});
    }
  }
  return places;
};

/**
 * A light whose plate was taken with the head a little elsewhere explains nothing where the other lights find the head, so
 * that no small step would ever move it: it is looked for around there.
 */
const withLostLights = (
  found: Refined,
  offsets: readonly Offset[],
  look: (poses: readonly Pose[]) => Refined,
  face: PixelEllipse,
  refine: (poses: readonly Pose[]) => Refined,
): Refined => {
  let best = found;
  for (let k = 0; k < found.poses.length; k++) {
    const power = best.power[k]!;
    if (power > MAY_BE_LOST) continue;
    let nearest = best;
    const places = placesOf(k, best, offsets, face);
    for (const {dx, dy} of power > LOST_POWER ? places.slice(0, 1) : places) {
      const tried = look(best.poses.map((pose, i) => (i === k ? {...pose, dx, dy} : pose)));
      if (tried.power[k]! > LOST_POWER && tried.lost < nearest.lost) nearest = tried;
    }
    if (nearest === best) continue;
    const refined = refine(nearest.poses);
    if (refined.power[k]! > LOST_POWER && refined.lost < best.lost - FOUND_GAIN) best = refined;
  }
  return best;
};

/** From this power on a light shows where the head stands. */
export const SHOWS = 0.15;

/**
 * Where the head stands against the first light's plate: the mean over the lights that show it.
 * @param poses in any pixels
 * @param step how many of them one of the window's pixels makes
 * @returns null where no light shows it
 */
export const standOf = (
  poses: readonly Pose[],
  power: ArrayLike<number>,
  offsets: readonly Offset[],
  step: number,
): Offset | null => {
  let count = 0;
  let dx = 0;
  let dy = 0;
  poses.forEach((pose, k) => {
    if (power[k]! < SHOWS) return;
    count++;
    dx += pose.dx + step * offsets[k]!.dx;
    dy += pose.dy + step * offsets[k]!.dy;
  });
  return count === 0 ? null : {dx: dx / count, dy: dy / count};
};

/** A misfit beyond this says that the plates don't explain a picture. */
const EXPLAINED = 0.1;

/**
 * The plates, with the face ellipse understood as it lies on the sitter's plate.
 * @param sitter the head on the sitter's plate
 */
export const standingAs = (plates: HeadPlates, sitter: Smoothed): HeadPlates => {
  const {poses, misfit, power} = registerHead(plates, sitter);
  const stand = misfit > EXPLAINED ? null : standOf(poses, power, plates.offsets, 1);
  return stand ? {...plates, stand} : plates;
};
