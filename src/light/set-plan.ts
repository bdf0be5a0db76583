import type {FlashLight, Rig} from '../../shared/rig.js';
import {type Point, pointAt, stanceOf, standsPossible, type WallName, wallHit} from './geometry.js';
import {type SnootSpot, snootSpot} from './snoot.js';

/** A light of the set as it is drawn from above. */
export type DrawnLight = {
  light: FlashLight;
  at: Point;
  /** Unit vector of its aim. */
  aim: Point;
  /** Where its beam's middle ends: at a wall, or a metre beyond the mark. */
  end: Point;
  wall: WallName | null;
  /** From the light to that wall, metres. */
  wallMetres: number | null;
  /** Half the opening of the beam's outer edge, degrees; null without a snoot. */
  halfAngleDegrees: number | null;
  spot: SnootSpot | null;
};

/** The set from above: everything that is drawn, and the box that holds it, metres. */
export type SetPlan = {
  camera: Point;
  lights: DrawnLight[];
  left: number;
  right: number;
  back: number;
  front: number;
};

const spotOf = (light: FlashLight): SnootSpot | null => {
  const throwMetres = light.snoot ? light.distanceMetres - light.snoot.tubeMillimetres / 1000 : 0;
  return light.snoot && throwMetres > 0 ? snootSpot(light.snoot, throwMetres) : null;
};

const drawn = (rig: Rig, light: FlashLight): DrawnLight => {
  const possible = standsPossible(rig, light);
  // A light that can't stand where the rig says is drawn at its distance along the floor, so that it can be seen and mended.
  const at = possible ? stanceOf(rig, light).at : pointAt(light.angleDegrees, light.distanceMetres);
  const far = Math.hypot(at.x, at.y) || 1;
  const aim = possible ? stanceOf(rig, light).aim : {x: -at.x / far, y: -at.y / far};
  const hit = wallHit(rig, light);
  const {snoot} = light;
  return {
    light,
    at,
    aim,
    end: hit?.at ?? {x: at.x + aim.x * (far + 1), y: at.y + aim.y * (far + 1)},
    wall: hit?.wall ?? null,
    wallMetres: hit?.distanceMetres ?? null,
    halfAngleDegrees: snoot
      ? (Math.atan((snoot.exitMillimetres + snoot.sourceMillimetres) / 2 / snoot.tubeMillimetres) * 180) / Math.PI
      : null,
    spot: spotOf(light),
  };
};

/** Lays the rig out from above, lights that are off included. */
export const setPlan = (rig: Rig): SetPlan => {
  const camera = {x: 0, y: -rig.mark.cameraDistanceMetres};
  const lights = rig.lights.map(light => drawn(rig, light));
  const xs = lights.map(({at}) => at.x);
  const ys = lights.map(({at}) => at.y);
  return {
    camera,
    lights,
    left: Math.min(-0.6, ...xs.map(x => x - 0.3), rig.mark.leftWallMetres === null ? 0 : -rig.mark.leftWallMetres),
    right: Math.max(0.6, ...xs.map(x => x + 0.3), rig.mark.rightWallMetres ?? 0),
    back: Math.max(rig.mark.backWallMetres, ...ys.map(y => y + 0.3)),
    front: Math.min(camera.y - 0.3, ...ys.map(y => y - 0.3)),
  };
};
