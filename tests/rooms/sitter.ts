import {smoothstep} from './light-map.js';

/**
 * The person as a sheet at the frame's resolution, in the pose of the mark: what it reflects, which way its surface
 * looks (x right, y down, z to the camera) and how much of the pixel it covers. Taller than the frame, so that a head
 * that sways up shows no gap below.
 */
export type Sitter = {
  width: number;
  height: number;
  albedo: Float32Array;
  normal: Float32Array;
  cover: Float32Array;
};

/** What a part is at one point: reflectance, cover, and height towards the camera in heads. */
export type Touch = {r: number; g: number; b: number; cover: number; z: number};

/** One part of a person, painted over those before it. Coordinates in heads from the head's centre. */
export type Part = {
  left: number;
  right: number;
  top: number;
  bottom: number;
  touch(x: number, y: number, out: Touch): void;
};

/** Where the head stands: its centre and its height (crown to chin), in pixels. */
export type Stand = {cx: number; cy: number; headPixels: number};

export const emptySitter = (width: number, height: number): Sitter => {
  const tall = Math.ceil(height * 1.08);
  return {
    width,
    height: tall,
    albedo: new Float32Array(width * tall * 3),
    normal: new Float32Array(width * tall * 3),
    cover: new Float32Array(width * tall),
  };
};

/** Paints one part over the sitter. */
export const paint = (sitter: Sitter, part: Part, stand: Stand): void => {
  const {width, height} = sitter;
  const size = stand.headPixels;
  const x0 = Math.max(0, Math.floor(stand.cx + part.left * size));
  const x1 = Math.min(width - 1, Math.ceil(stand.cx + part.right * size));
  const y0 = Math.max(0, Math.floor(stand.cy + part.top * size));
  const y1 = Math.min(height - 1, Math.ceil(stand.cy + part.bottom * size));
  if (x1 < x0 || y1 < y0) return;
  const columns = x1 - x0 + 1;
  const rows = y1 - y0 + 1;
  const z = new Float32Array(columns * rows);
  const touches = new Float32Array(columns * rows * 4);
  const out: Touch = {r: 0, g: 0, b: 0, cover: 0, z: 0};
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      out.cover = 0;
      out.z = 0;
      part.touch((x0 + column - stand.cx) / size, (y0 + row - stand.cy) / size, out);
      const i = row * columns + column;
      z[i] = out.z * size;
      touches.set([out.r, out.g, out.b, out.cover], i * 4);
    }
  }
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      const i = row * columns + column;
      const cover = Math.min(1, Math.max(0, touches[i * 4 + 3]!));
      if (cover <= 0) continue;
      const left = column > 0 ? i - 1 : i;
      const right = column < columns - 1 ? i + 1 : i;
      const above = row > 0 ? i - columns : i;
      const below = row < rows - 1 ? i + columns : i;
      const slopeX = (z[right]! - z[left]!) / Math.max(1, right - left);
      const slopeY = (z[below]! - z[above]!) / Math.max(1, (below - above) / columns);
      const length = Math.hypot(slopeX, slopeY, 1);
      const at = (y0 + row) * width + x0 + column;
      const rest = 1 - cover;
      const normal = [-slopeX / length, -slopeY / length, 1 / length];
      for (let c = 0; c < 3; c++) {
        sitter.albedo[at * 3 + c] = sitter.albedo[at * 3 + c]! * rest + touches[i * 4 + c]! * cover;
        sitter.normal[at * 3 + c] = sitter.normal[at * 3 + c]! * rest + normal[c]! * cover;
      }
      sitter.cover[at] = sitter.cover[at]! * rest + cover;
    }
  }
};

/** How far inside an implicit shape a point is, as cover: `level` < 0 inside; `softness` is the width of the edge. */
export const coverOf = (level: number, softness: number): number => 1 - smoothstep(-softness, softness, level);

/** An upright ellipse: −1 in its centre, 0 on its edge. */
export const ellipseLevel = (x: number, y: number, cx: number, cy: number, rx: number, ry: number): number =>
  Math.hypot((x - cx) / rx, (y - cy) / ry) - 1;

/** Height of a dome over an ellipse; 0 outside. */
export const dome = (level: number, depth: number): number => {
  const r = Math.min(1, level + 1);
  return depth * Math.sqrt(Math.max(0, 1 - r * r));
};
