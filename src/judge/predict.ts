import type {Exposure} from '../../shared/exposure.js';
import type {Measurement} from '../../shared/reading.js';
import type {FlashLight, Rig} from '../../shared/rig.js';
import {flashStopsBetween, stopsBetween} from '../light/exposure.js';
import {flashLevelEv} from '../light/flash.js';
import {trailLevelEv} from '../light/painting.js';
import {patchChangeEv} from '../light/patch.js';
import {moveLight} from '../light/spill.js';

/** What one exposure is made with. */
export type Setup = {rig: Rig; exposure: Exposure};

/** How each part of the next frame is brighter (EV) than the same part of the frame that is known. */
export type Scales = {
  /** By light, on the face: null when the light will not fire. A light that is new in the rig is left out. */
  lights: Record<string, number | null>;
  /** By light, on the wall it strikes, where the rig tells: differs from the face's when the light moves. */
  walls: Record<string, number | null>;
  /** The room's own light, leak included. */
  darkEv: number;
  trailEv: number;
};

/**
 * Whether a light still falls on the face in the shape that it had: turned, gone round, raised or under another snoot it
 * doesn't, and no factor leads from its old plate to the new frame.
 */
export const keepsShape = (was: FlashLight, is: FlashLight): boolean =>
  was.angleDegrees === is.angleDegrees &&
  was.heightMetres === is.heightMetres &&
  was.aimOffDegrees === is.aimOffDegrees &&
  was.snoot?.sourceMillimetres === is.snoot?.sourceMillimetres &&
  was.snoot?.exitMillimetres === is.snoot?.exitMillimetres &&
  was.snoot?.tubeMillimetres === is.snoot?.tubeMillimetres;

const wallEv = (before: Setup, light: FlashLight, next: FlashLight, onFaceEv: number): number => {
  if (next.distanceMetres === light.distanceMetres) return onFaceEv;
  // Moved along its aim: the wall lies farther than the face, so it changes less.
  const moved = moveLight(before.rig, light, next.distanceMetres);
  return moved ? onFaceEv + moved.wallEv : onFaceEv;
};

/**
 * The factors, in EV, by which plates are scaled to show the next frame before it is shot: light adds, so every light,
 * the room and the trail scale on their own. Turning a light or swapping its snoot changes the plate's shape; that needs
 * a new plate and is not predicted here.
 */
export const predictScales = (before: Setup, after: Setup): Scales => {
  const lights: Scales['lights'] = {};
  const walls: Scales['walls'] = {};
  for (const light of before.rig.lights) {
    const next = after.rig.lights.find(each => each.id === light.id);
    if (!next?.on) {
      lights[light.id] = null;
      walls[light.id] = null;
      continue;
    }
    const onFaceEv = flashLevelEv(next, after.exposure) - flashLevelEv(light, before.exposure);
    lights[light.id] = onFaceEv;
    walls[light.id] = wallEv(before, light, next, onFaceEv);
  }
  return {
    lights,
    walls,
    darkEv: stopsBetween(before.exposure, after.exposure),
    trailEv: trailLevelEv(after.rig.painting, after.exposure) - trailLevelEv(before.rig.painting, before.exposure),
  };
};

const faceChangeEv = (measurement: Measurement, scales: Scales): number => {
  const fired = measurement.lights.filter(light => light.fired).map(light => scales.lights[light.id] ?? null);
  if (fired.length === 0) return 0;
  // Which part of the face's level each light gives isn't measured: count them as equal.
  const mean = fired.reduce<number>((sum, ev) => sum + (ev === null ? 0 : 2 ** ev), 0) / fired.length;
  return Math.log2(Math.max(mean, 2 ** -20));
};

/** How a measured patch of the wall changes, from where it lies in the picture; null where the rig doesn't tell. */
const patchScale = (patch: {light: string; at: {x: number; y: number}}, before: Setup, after: Setup): number | null => {
  const light = before.rig.lights.find(({id}) => id === patch.light);
  const next = after.rig.lights.find(({id}) => id === patch.light);
  if (!light || !next) return null;
  const wallEv = patchChangeEv(before.rig, light, next, patch.at);
  return wallEv === null ? null : wallEv + flashStopsBetween(before.exposure, after.exposure);
};

/**
 * The measurement to be expected after a change: levels scale, shapes stay. Clipped parts and sharpness are kept as they
 * are, since a reading alone can't tell how they move.
 */
export const predictMeasurement = (measurement: Measurement, before: Setup, after: Setup): Measurement => {
  const scales = predictScales(before, after);
  const plus = (level: number | null, ev: number): number | null => (level === null ? null : level + ev);
  return {
    ...measurement,
    lights: measurement.lights.map(light => {
      const scale = scales.lights[light.id];
      if (scale === undefined || light.ev === null) return light;
      return scale === null ? {...light, fired: false, ev: null} : {...light, ev: light.ev + scale};
    }),
    ambient: {...measurement.ambient, levelEv: plus(measurement.ambient.levelEv, scales.darkEv)},
    spill: measurement.spill.flatMap(patch => {
      const scale = scales.walls[patch.light];
      if (scale === null) return [];
      const levelEv = patch.levelEv + (patchScale(patch, before, after) ?? scale ?? 0);
      return Number.isFinite(levelEv) ? [{...patch, levelEv}] : [];
    }),
    face: {...measurement.face, levelEv: plus(measurement.face.levelEv, faceChangeEv(measurement, scales))},
    trail: measurement.trail && {...measurement.trail, levelEv: plus(measurement.trail.levelEv, scales.trailEv)},
  };
};
