import {sampleAt} from '../bilinear.js';
import type {Placement} from '../register/pose.js';
import type {WorkImage} from '../work-image.js';

/**
 * Code values (0 to 255, three channels after one another) at a set of points: of the frame, and of every plate where the
 * head's pose finds these points on it.
 */
export type Samples = {
  count: number;
  /** Positions in the frame, one a point. */
  xs: Float64Array;
  ys: Float64Array;
  frame: Float64Array;
  dark: Float64Array;
  lights: Float64Array[];
  /** How much the plates' codes change within a pixel: what a misplaced head would do. */
  roughness: Float64Array;
};

/**
 * Samples smoothed pictures.
 * @param frame and plates must be smoothed alike
 */
export const samplePoints = (
  points: {xs: Float64Array; ys: Float64Array},
  frame: WorkImage,
  dark: WorkImage | null,
  lights: readonly WorkImage[],
  placement: Placement,
): Samples => {
  const count = points.xs.length;
  const {width, height} = frame;
  const samples: Samples = {
    count,
    xs: points.xs,
    ys: points.ys,
    frame: new Float64Array(3 * count),
    dark: new Float64Array(3 * count),
    lights: lights.map(() => new Float64Array(3 * count)),
    roughness: new Float64Array(3 * count),
  };
  const channels = ['r', 'g', 'b'] as const;
  channels.forEach((channel, c) => {
    const seen = frame[channel];
    const darkPlane = dark?.[channel] ?? null;
    const planes = lights.map(light => light[channel]);
    for (let i = 0; i < count; i++) {
      const at = c * count + i;
      const x = points.xs[i]!;
      const y = points.ys[i]!;
      const px = placement.ax * x + placement.bx * y + placement.cx;
      const py = placement.ay * x + placement.by * y + placement.cy;
      samples.frame[at] = sampleAt(seen, width, height, x, y);
      if (darkPlane) samples.dark[at] = sampleAt(darkPlane, width, height, px, py);
      let rough = 0;
      for (let k = 0; k < planes.length; k++) {
        const plane = planes[k]!;
        samples.lights[k]![at] = sampleAt(plane, width, height, px, py);
        rough = Math.max(
          rough,
          Math.abs(sampleAt(plane, width, height, px + 1, py) - sampleAt(plane, width, height, px - 1, py)),
          Math.abs(sampleAt(plane, width, height, px, py + 1) - sampleAt(plane, width, height, px, py - 1)),
        );
      }
      samples.roughness[at] = rough / 2;
    }
  });
  return samples;
};
