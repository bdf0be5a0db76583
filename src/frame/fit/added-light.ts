import {sampleAt} from '../bilinear.js';
import type {PixelEllipse} from '../pixel-ellipse.js';
import type {Placement} from '../register/pose.js';
import type {AddedLight} from './light-model.js';
import type {Samples} from './samples.js';

/**
 * Shapes that new room light may have on the head. What the head reflects is known from the plates by its detail; from
 * which side the new light comes is not, so that there is one even shape for each channel and one from each side.
 * @param reflectance relative reflectance over the plates, 1 on average
 * @param placement where the plates show what the frame shows
 * @param wall new light on the wall about the head, linear, by channel
 */
export const addedLightShapes = (
  samples: Samples,
  face: PixelEllipse,
  reflectance: {plane: Float32Array; width: number; height: number},
  placement: Placement,
  wall: readonly [number, number, number],
): AddedLight[] => {
  const {count, xs, ys} = samples;
  const {plane, width, height} = reflectance;
  const most = Math.max(...wall);
  const tint = wall.map(value => Math.max(0.05, value / most));
  const shapes = Array.from({length: 7}, () => new Float64Array(3 * count));
  for (let i = 0; i < count; i++) {
    const x = xs[i]!;
    const y = ys[i]!;
    const px = placement.ax * x + placement.bx * y + placement.cx;
    const py = placement.ay * x + placement.by * y + placement.cy;
    const reflected = sampleAt(plane, width, height, px, py);
    const across = Math.max(-1, Math.min(1, (x - face.cx) / face.rx));
    const down = Math.max(-1, Math.min(1, (y - face.cy) / face.ry));
    const facing = [(1 - across) / 2, (1 + across) / 2, (1 - down) / 2, (1 + down) / 2];
    for (let c = 0; c < 3; c++) {
      const at = c * count + i;
      shapes[c]![at] = reflected;
      for (let side = 0; side < 4; side++) shapes[3 + side]![at] = reflected * facing[side]! ** 2 * tint[c]!;
    }
  }
  // A face reflects about as much as a wall, or half; what comes from one side may be as strong again.
  return shapes.map((shape, n) => ({shape, sigma: n < 3 ? Math.max(0.1 * most, wall[n]!) : most}));
};
