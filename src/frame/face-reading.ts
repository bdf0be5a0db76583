import {levelEv} from '../../shared/level.js';
import type {Measurement} from '../../shared/reading.js';
import {fineTable, plainTable, type ToneTable} from './curve/tone-curve.js';
import {type PixelEllipse, radiiSquared} from './pixel-ellipse.js';
import {luminanceAt, type WorkImage} from './work-image.js';

/** Luminance, in the file's own terms, from which a pixel counts as clipped. */
export const CLIPPED_LIGHT = 0.98;

const finite = (value: number): number | null => (Number.isFinite(value) ? value : null);

/**
 * Level of the face, how much of it is clipped, and its left over its right half; a trail across it doesn't count.
 * @param curve what leads to the scene's light
 * @param face where the face stands in this frame
 * @param trail the trail's pixels, and its own luminance
 */
export const faceReading = (
  frame: WorkImage,
  curve: ToneTable,
  face: PixelEllipse,
  trail: Uint8Array,
  own: Float32Array,
): Pick<Measurement['face'], 'levelEv' | 'clippedFraction' | 'leftRightEv'> => {
  const {width, height} = frame;
  const fine = fineTable(curve);
  const plain = fineTable(plainTable);
  const sums = [0, 0];
  const counts = [0, 0];
  let clipped = 0;
  let pixels = 0;
  for (let y = Math.max(0, Math.ceil(face.cy - face.ry)); y <= Math.min(height - 1, face.cy + face.ry); y++) {
    for (let x = Math.max(0, Math.ceil(face.cx - face.rx)); x <= Math.min(width - 1, face.cx + face.rx); x++) {
      if (radiiSquared(face, x, y) > 1) continue;
      const at = y * width + x;
      const light = luminanceAt(frame, fine, at);
      const half = x < face.cx ? 0 : 1;
      sums[half] = sums[half]! + Math.max(0, light - (trail[at] ? own[at]! : 0));
      counts[half] = counts[half]! + 1;
      pixels++;
      if (luminanceAt(frame, plain, at) >= CLIPPED_LIGHT) clipped++;
    }
  }
  const [left, right] = [sums[0]! / counts[0]!, sums[1]! / counts[1]!];
  return {
    levelEv: finite(levelEv((sums[0]! + sums[1]!) / pixels)),
    clippedFraction: pixels === 0 ? 0 : clipped / pixels,
    leftRightEv: finite(Math.log2(left / right)),
  };
};
