import {levelEv} from '../../../shared/level.js';
import type {TrailReading} from '../../../shared/reading.js';
import {fineTable, plainTable} from '../curve/tone-curve.js';
import {CLIPPED_LIGHT} from '../face-reading.js';
import {type PixelEllipse, radiiSquared} from '../pixel-ellipse.js';
import {madSigma, medianOf} from '../robust.js';
import {luminanceAt, type WorkImage} from '../work-image.js';

export const DIRECTIONS = 72;

/** Along a way that passes fewer directions nothing can be said of evenness. */
const LEAST_WAY = 4;

/** How much the line's middle varies along its way, in stops: its soft edges are no unevenness. */
const unevenness = (brightest: Float64Array): number => {
  const along = brightest.filter(value => value > 0);
  return along.length < LEAST_WAY ? 0 : madSigma(along.map(levelEv));
};

/**
 * What a trail is, in the published terms.
 * @param mask the trail's pixels, and `candidates` all that may be among them
 * @param own its own linear luminance
 * @param face the face ellipse where the head stands in this frame
 * @returns null where there is no trail
 */
export const trailReading = (
  mask: Uint8Array,
  candidates: Int32Array,
  own: Float32Array,
  frame: WorkImage,
  face: PixelEllipse,
): TrailReading | null => {
  const {width, height} = frame;
  const plain = fineTable(plainTable);
  const heads = 2 * face.ry;
  const directions = new Array<boolean>(DIRECTIONS).fill(false);
  const brightest = new Float64Array(DIRECTIONS);
  const lights = new Float32Array(candidates.length);
  let pixels = 0;
  let clipped = 0;
  let inside = 0;
  let insideX = 0;
  let insideY = 0;
  let sumX = 0;
  let sumY = 0;
  let gap = Number.POSITIVE_INFINITY;
  for (let i = 0; i < candidates.length; i++) {
    const at = candidates[i]!;
    if (mask[at] === 0) continue;
    const x = at % width;
    const y = (at - x) / width;
    lights[pixels++] = own[at]!;
    sumX += x;
    sumY += y;
    if (luminanceAt(frame, plain, at) >= CLIPPED_LIGHT) clipped++;
    const dx = x - face.cx;
    const dy = y - face.cy;
    if (radiiSquared(face, x, y) <= 1) {
      inside++;
      insideX += x;
      insideY += y;
      continue;
    }
    const degrees = ((Math.atan2(dy, dx) * 180) / Math.PI + 360) % 360;
    const direction = Math.floor((degrees * DIRECTIONS) / 360) % DIRECTIONS;
    directions[direction] = true;
    brightest[direction] = Math.max(brightest[direction]!, own[at]!);
    if (Math.abs(dx) <= face.rx && dy < -face.ry) gap = Math.min(gap, -dy - face.ry);
  }
  if (pixels === 0) return null;
  let ofFace = 0;
  for (let y = Math.max(0, Math.ceil(face.cy - face.ry)); y <= Math.min(height - 1, face.cy + face.ry); y++) {
    for (let x = Math.max(0, Math.ceil(face.cx - face.rx)); x <= Math.min(width - 1, face.cx + face.rx); x++) {
      if (radiiSquared(face, x, y) <= 1) ofFace++;
    }
  }
  const crossing = inside / Math.max(1, ofFace);
  const passed = directions.filter(Boolean).length;
  return {
    coverage: passed / DIRECTIONS,
    crossing,
    headGap: Number.isFinite(gap) ? gap / heads : null,
    offset: {x: (sumX / pixels - face.cx) / heads, y: (sumY / pixels - face.cy) / heads},
    clippedFraction: clipped / pixels,
    crossingAt: inside > 0 ? {x: (insideX / inside + 0.5) / width, y: (insideY / inside + 0.5) / height} : null,
    levelEv: levelEv(medianOf(lights.subarray(0, pixels))),
    unevenEv: unevenness(brightest),
    directions,
  };
};
