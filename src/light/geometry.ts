import type {FlashLight, Rig} from '../../shared/rig.js';
import {LightFault} from './fault.js';

/*
 * The set from above. The mark is the origin; x grows to the right of the picture, y away from the camera, metres.
 */

export type Point = {x: number; y: number};

/** Where a light stands, and which way it looks. */
export type Stance = {
  at: Point;
  /** Unit vector of the aim, seen from above. */
  aim: Point;
  /** Distance to the face along the floor, metres. */
  alongFloorMetres: number;
  /** Rise of the beam per metre along the floor; negative looks down. */
  slope: number;
};

/** Point at an angle and distance from the mark: 0° is towards the camera, positive to the right of the picture. */
export const pointAt = (angleDegrees: number, metres: number): Point => {
  const angle = (angleDegrees * Math.PI) / 180;
  return {x: metres * Math.sin(angle), y: 0 - metres * Math.cos(angle)};
};

/** Turns a direction clockwise as seen from above (x right, y away from the camera). */
const turnClockwise = (direction: Point, degrees: number): Point => {
  const angle = (degrees * Math.PI) / 180;
  return {
    x: direction.x * Math.cos(angle) + direction.y * Math.sin(angle),
    y: direction.y * Math.cos(angle) - direction.x * Math.sin(angle),
  };
};

/**
 * Stance of a light of the rig. Its aim goes through the face, turned by `aimOffDegrees`: positive moves the beam
 * towards the right of the picture, which is clockwise from above for a light on the camera's side of the mark and
 * anticlockwise for one behind it.
 * @throws LightFault when the light hangs higher above the face than it is away from it
 */
export const stanceOf = (rig: Rig, light: FlashLight): Stance => {
  const rise = light.heightMetres - rig.mark.eyeHeightMetres;
  if (Math.abs(rise) >= light.distanceMetres) {
    throw new LightFault(
      `Light ${light.id} is ${light.distanceMetres} m from the face but ${Math.abs(rise).toFixed(2)} m ${rise > 0 ? 'above' : 'below'} it; check its distance and height.`,
    );
  }
  const alongFloorMetres = Math.sqrt(light.distanceMetres ** 2 - rise ** 2);
  const at = pointAt(light.angleDegrees, alongFloorMetres);
  const toFace = {x: 0 - at.x / alongFloorMetres, y: 0 - at.y / alongFloorMetres};
  const inFront = Math.abs(light.angleDegrees) <= 90;
  return {
    at,
    aim: turnClockwise(toFace, inFront ? light.aimOffDegrees : -light.aimOffDegrees),
    alongFloorMetres,
    slope: -rise / alongFloorMetres,
  };
};

export type WallName = 'back wall' | 'left wall' | 'right wall';

/** Where the middle of a beam strikes a wall. */
export type WallHit = {
  wall: WallName;
  at: Point;
  heightMetres: number;
  /** From the light to that patch, metres. */
  distanceMetres: number;
  /** Cosine of the angle at which the beam strikes the wall, 0 to 1. */
  incidence: number;
  /** Where the camera sees it: −1 the left edge of the picture, +1 the right edge; beyond that it is out of the frame. */
  acrossPicture: number;
};

/** Where the camera sees a point of the floor plan: −1 and +1 are the picture's edges. */
export const acrossPicture = (rig: Rig, at: Point): number => {
  const depth = at.y + rig.mark.cameraDistanceMetres;
  if (depth <= 0) return at.x < 0 ? Number.NEGATIVE_INFINITY : Number.POSITIVE_INFINITY;
  return at.x / depth / (rig.lens.sensorWidthMillimetres / 2 / rig.lens.focalMillimetres);
};

/** Whether a light can stand where the rig says: no farther above or below the face than it is away from it. */
export const standsPossible = (rig: Rig, light: FlashLight): boolean =>
  Math.abs(light.heightMetres - rig.mark.eyeHeightMetres) < light.distanceMetres;

/**
 * The wall that the middle of a light's beam strikes beyond the sitter, or null where it meets no wall that the rig
 * knows (the camera's side, or the floor first), or can't stand where the rig says.
 */
export const wallHit = (rig: Rig, light: FlashLight): WallHit | null => {
  if (!standsPossible(rig, light)) return null;
  const stance = stanceOf(rig, light);
  const {mark} = rig;
  const candidates: {wall: WallName; along: number; incidence: number}[] = [];
  if (stance.aim.y > 1e-9) {
    candidates.push({
      wall: 'back wall',
      along: (mark.backWallMetres - stance.at.y) / stance.aim.y,
      incidence: stance.aim.y,
    });
  }
  const side = stance.aim.x < 0 ? mark.leftWallMetres : mark.rightWallMetres;
  if (side !== null && Math.abs(stance.aim.x) > 1e-9) {
    const wallX = stance.aim.x < 0 ? -side : side;
    candidates.push({
      wall: stance.aim.x < 0 ? 'left wall' : 'right wall',
      along: (wallX - stance.at.x) / stance.aim.x,
      incidence: Math.abs(stance.aim.x),
    });
  }
  const nearest = candidates.filter(({along}) => along > 0).sort((a, b) => a.along - b.along)[0];
  if (!nearest) return null;
  const heightMetres = light.heightMetres + stance.slope * nearest.along;
  if (heightMetres < 0) return null;
  const at = {x: stance.at.x + stance.aim.x * nearest.along, y: stance.at.y + stance.aim.y * nearest.along};
  const lengthen = Math.sqrt(1 + stance.slope ** 2);
  return {
    wall: nearest.wall,
    at,
    heightMetres,
    distanceMetres: nearest.along * lengthen,
    incidence: nearest.incidence / lengthen,
    acrossPicture: acrossPicture(rig, at),
  };
};

/** A point of the room: x right of the picture, y away from the camera, z up from the floor, metres. */
export type RoomPoint = Point & {z: number};

/**
 * The point of a wall that the camera sees at a place of the picture, taking the camera as aimed at the sitter's eyes.
 * @param at fractions of the frame, x right, y down
 */
export const wallSeenAt = (rig: Rig, at: {x: number; y: number}): RoomPoint & {wall: WallName} => {
  const {mark, lens} = rig;
  const right = ((2 * at.x - 1) * lens.sensorWidthMillimetres) / 2 / lens.focalMillimetres;
  const tilt = (mark.eyeHeightMetres - lens.heightMetres) / mark.cameraDistanceMetres;
  const up = tilt + ((1 - 2 * at.y) * lens.sensorHeightMillimetres) / 2 / lens.focalMillimetres;
  const side = right < 0 ? mark.leftWallMetres : mark.rightWallMetres;
  const toBack = mark.backWallMetres + mark.cameraDistanceMetres;
  const depth = side === null || right === 0 ? toBack : Math.min(toBack, side / Math.abs(right));
  const wall = depth === toBack ? 'back wall' : right < 0 ? 'left wall' : 'right wall';
  return {x: right * depth, y: depth - mark.cameraDistanceMetres, z: lens.heightMetres + up * depth, wall};
};

/** A point as a light's beam sees it: how far along its axis, and how far off it, metres. */
export const alongBeam = (rig: Rig, light: FlashLight, point: RoomPoint): {alongMetres: number; offMetres: number} => {
  const {at, aim, slope} = stanceOf(rig, light);
  const length = Math.sqrt(1 + slope ** 2);
  const away = {x: point.x - at.x, y: point.y - at.y, z: point.z - light.heightMetres};
  const alongMetres = (away.x * aim.x + away.y * aim.y + away.z * slope) / length;
  const squared = away.x ** 2 + away.y ** 2 + away.z ** 2;
  return {alongMetres, offMetres: Math.sqrt(Math.max(0, squared - alongMetres ** 2))};
};
