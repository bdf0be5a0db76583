import type {Rig} from '../../../shared/rig.js';
import {cross, dot, minus, plus, times, unit, type Vector} from './space.js';

/** The camera's place and what a pixel sees. Pixel (0, 0) is the top left corner of a picture of width × height. */
export type View = {
  readonly width: number;
  readonly height: number;
  readonly eye: Vector;
  /** Unit direction in which the middle of this pixel looks. */
  rayOf(px: number, py: number): Vector;
  /** Where a point of the room falls, in pixels, and its distance along the axis, metres. */
  project(point: Vector): {x: number; y: number; depth: number};
  /** Pixels that one metre takes at this distance along the axis. */
  pixelsPerMetre(depth: number): number;
};

/** How far below the eyes the photographer aimed the camera, metres: the head stands a little above the middle. */
const AIM_BELOW_EYES = 0.06;

/** The view of the rig's camera, on its stand at the lens's height, aimed just below the sitter's eyes. */
export const viewOf = (rig: Rig, width: number, height: number): View => {
  const eye: Vector = [0, rig.lens.heightMetres, rig.mark.cameraDistanceMetres];
  const forward = unit(minus([0, rig.mark.eyeHeightMetres - AIM_BELOW_EYES, 0], eye));
  const right = unit(cross(forward, [0, 1, 0]));
  const up = cross(right, forward);
  const focal = (rig.lens.focalMillimetres / rig.lens.sensorWidthMillimetres) * width;
  return {
    width,
    height,
    eye,
    rayOf: (px, py) =>
      unit(
        plus(forward, plus(times(right, (px + 0.5 - width / 2) / focal), times(up, (height / 2 - py - 0.5) / focal))),
      ),
    project: point => {
      const away = minus(point, eye);
      const depth = dot(away, forward);
      return {
        x: width / 2 + (dot(away, right) / depth) * focal - 0.5,
        y: height / 2 - (dot(away, up) / depth) * focal - 0.5,
        depth,
      };
    },
    pixelsPerMetre: depth => focal / depth,
  };
};
