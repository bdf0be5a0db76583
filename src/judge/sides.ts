import type {Side} from '../../shared/reading.js';
import type {Zones} from '../../shared/zones.js';

/*
 * The sitter faces the camera: what is left in the picture is at the sitter's right. Whatever is said to the sitter uses
 * the sitter's own sides; what names a wall uses the picture's, as the picture shows it.
 */

/** The sitter's own side of something left (negative) or right (positive) in the picture. */
export const yourSide = (acrossPicture: number): 'right' | 'left' => (acrossPicture < 0 ? 'right' : 'left');

/**
 * Part of the face at a point of the frame, as the sitter knows it: "your right cheek", "your forehead".
 * @param at fractions of the frame
 * @param zones null where the face was not marked; the middle of the frame then stands for its middle
 */
export const partOfFace = (at: {x: number; y: number}, zones: Zones | null): string => {
  const face = zones?.face ?? {cx: 0.5, cy: at.y, rx: 0.1, ry: 0.15};
  const across = (at.x - face.cx) / face.rx;
  const down = (at.y - face.cy) / face.ry;
  const side = yourSide(across);
  if (down < -0.35) return Math.abs(across) < 0.45 ? 'your forehead' : `your ${side} temple`;
  if (down > 0.55) return Math.abs(across) < 0.35 ? 'your chin' : `your ${side} jaw`;
  if (Math.abs(across) < 0.22) return down < 0.3 ? 'your nose' : 'your mouth';
  return down < -0.05 ? `your ${side} eye` : `your ${side} cheek`;
};

/** A side of the picture with the sitter's own beside it: "the left of the picture, your right". */
export const sideForBoth = (side: Exclude<Side, 'even'>): string => {
  if (side === 'left') return 'the left of the picture, your right';
  if (side === 'right') return 'the right of the picture, your left';
  return side === 'top' ? 'above' : 'below';
};

/** Which wall a patch of the picture lies on, in the picture's words: "the left wall", "the wall above the head". */
export const wallAt = (at: {x: number; y: number}, zones: Zones | null): string => {
  const face = zones?.face ?? {cx: 0.5, cy: 0.45, rx: 0.12, ry: 0.18};
  if (Math.abs(at.x - face.cx) < face.rx && at.y < face.cy) return 'the wall above the head';
  return at.x < face.cx ? 'the left wall' : 'the right wall';
};

/** A run of directions without trail. Degrees from the right of the picture on clockwise: 90 is straight down. */
export type Gap = {fromDegrees: number; toDegrees: number; degrees: number};

/**
 * The widest run of directions in which no trail passes.
 * @param directions 72 flags of 5°, 0 to the right of the picture and on clockwise
 * @returns null when there is none
 */
export const widestGap = (directions: readonly boolean[]): Gap | null => {
  const count = directions.length;
  const step = 360 / count;
  const firstHit = directions.indexOf(true);
  if (firstHit === -1) return {fromDegrees: 0, toDegrees: 360, degrees: 360};
  let best: Gap | null = null;
  let run = 0;
  for (let i = 1; i <= count; i++) {
    const index = (firstHit + i) % count;
    if (!directions[index]) {
      run++;
      continue;
    }
    if (run > 0 && run * step > (best?.degrees ?? 0)) {
      const to = (firstHit + i) * step;
      best = {fromDegrees: (to - run * step) % 360, toDegrees: to % 360, degrees: run * step};
    }
    run = 0;
  }
  return best;
};
