import {broadBlur} from './blur.js';
import type {Colour} from './drawn-head.js';
import type {LightMap} from './light-map.js';
import type {Sitter} from './sitter.js';

/** An ellipse in pixels of the rendered frame. */
export type PixelEllipse = {cx: number; cy: number; rx: number; ry: number};

/** A patch of light on the wall; position in fractions of the frame, radii in fractions of its height. */
export type Patch = {x: number; y: number; rx: number; ry: number; ev: number; edge: number};

export type Light = {
  id: string;
  tint: Colour;
  /** From the surface to the light: x right, y down, z to the camera. */
  direction: Colour;
  /** `gradient` ignores the form and runs across the head. */
  form: 'lambert' | 'gradient';
  /** 0: hard terminator; 0.6: light wraps far around. */
  wrap: number;
  /** A snoot's spot, fixed in the room: offset from the head, radius and soft edge in heads. */
  spot: {x: number; y: number; radius: number; edge: number} | null;
  /** Level of the brightest part of the face under this light alone. */
  faceEv: number;
  patches: Patch[];
  /** Whether the head throws a shadow on the wall. */
  shadow: boolean;
};

export type Leak = {
  side: 'left' | 'right' | 'top' | 'bottom' | 'even';
  profile: 'ramp' | 'fall' | 'slit';
  /** Wanted rise of the wall's mean over the dark plate. */
  riseEv: number;
  tint: Colour;
};

/** How the sitter stands against the sheet: shift in pixels, turn in radians and scale about the face's centre. */
export type Pose = {dx: number; dy: number; turn: number; scale: number};
export const atRest: Pose = {dx: 0, dy: 0, turn: 0, scale: 1};

export type Scene = {
  width: number;
  height: number;
  sitter: Sitter;
  /** Face ellipse at rest, and the head's height. */
  face: PixelEllipse;
  headPixels: number;
  /** Relative reflectance of the wall, mean about 1. */
  wall: LightMap;
  lights: Light[];
  /** Light of each on a grey wall of reflectance 1, by index; and the exposure on the sitter. */
  wallLight: Float32Array[];
  sitterGain: number[];
  ambient: {ev: number; tint: Colour; lean: number};
  /** 1 where there is wall clear of face and body. */
  wallMask: Uint8Array;
};

/** The sitter as seen in one frame. */
export type Posed = {albedo: Float32Array; normal: Float32Array; cover: Float32Array; soft: Float32Array};

/** The sheet seen in a pose (bilinear). */
export const poseSitter = (scene: Scene, pose: Pose): Posed => {
  const {width, height, sitter, face} = scene;
  const count = width * height;
  const posed: Posed = {
    albedo: new Float32Array(count * 3),
    normal: new Float32Array(count * 3),
    cover: new Float32Array(count),
    soft: new Float32Array(count),
  };
  const sheets = [
    [sitter.albedo, posed.albedo],
    [sitter.normal, posed.normal],
  ] as const;
  const cos = Math.cos(-pose.turn) / pose.scale;
  const sin = Math.sin(-pose.turn) / pose.scale;
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const rx = x - face.cx - pose.dx;
      const ry = y - face.cy - pose.dy;
      const sx = face.cx + rx * cos - ry * sin;
      const sy = face.cy + rx * sin + ry * cos;
      const x0 = Math.floor(sx);
      const y0 = Math.floor(sy);
      if (x0 < 0 || y0 < 0 || x0 >= sitter.width - 1 || y0 >= sitter.height - 1) continue;
      const fx = sx - x0;
      const fy = sy - y0;
      const at = y0 * sitter.width + x0;
      const w00 = (1 - fx) * (1 - fy);
      const w10 = fx * (1 - fy);
      const w01 = (1 - fx) * fy;
      const w11 = fx * fy;
      const below = at + sitter.width;
      const c = sitter.cover;
      const cover = c[at]! * w00 + c[at + 1]! * w10 + c[below]! * w01 + c[below + 1]! * w11;
      if (cover <= 0) continue;
      const i = y * width + x;
      posed.cover[i] = cover;
      for (let k = 0; k < 3; k++) {
        for (const [from, to] of sheets) {
          const value =
            from[at * 3 + k]! * w00 +
            from[at * 3 + 3 + k]! * w10 +
            from[below * 3 + k]! * w01 +
            from[below * 3 + 3 + k]! * w11;
          to[i * 3 + k] = value / cover;
        }
      }
    }
  }
  posed.soft.set(posed.cover);
  broadBlur(posed.soft, width, height, 1, Math.max(1, scene.headPixels * 0.04));
  return posed;
};

/** The face ellipse as the head's pose moves it. */
export const ellipseIn = (scene: Scene, pose: Pose): PixelEllipse => ({
  cx: scene.face.cx + pose.dx,
  cy: scene.face.cy + pose.dy,
  rx: scene.face.rx * pose.scale,
  ry: scene.face.ry * pose.scale,
});

/** Visits every pixel inside the face ellipse. */
export const forFace = (scene: Scene, pose: Pose, visit: (x: number, y: number, index: number) => void): void => {
  const {cx, cy, rx, ry} = ellipseIn(scene, pose);
  for (let y = Math.max(0, Math.ceil(cy - ry)); y <= Math.min(scene.height - 1, cy + ry); y++) {
    for (let x = Math.max(0, Math.ceil(cx - rx)); x <= Math.min(scene.width - 1, cx + rx); x++) {
      if (((x - cx) / rx) ** 2 + ((y - cy) / ry) ** 2 <= 1) visit(x, y, y * scene.width + x);
    }
  }
};

/** Where there is wall: outside the face ellipse grown by a quarter, and clear of the sitter by a margin. */
export const maskWall = (scene: Scene): Uint8Array => {
  const {width, height, face} = scene;
  const near = poseSitter(scene, atRest).cover.map(cover => (cover > 0.02 ? 1 : 0));
  broadBlur(near, width, height, 1, scene.headPixels * 0.06);
  return Uint8Array.from(near, (value, i) => {
    const x = ((i % width) - face.cx) / (face.rx * 1.25);
    const y = (Math.floor(i / width) - face.cy) / (face.ry * 1.25);
    return value < 0.01 && x * x + y * y > 1 ? 1 : 0;
  });
};
