import type {Colour} from './drawn-head.js';
import {fractalNoise} from './random.js';
import {coverOf, dome, ellipseLevel, type Part} from './sitter.js';

export type BodyBuild = {
  shoulders: number;
  cloth: Colour;
  pattern: 'plain' | 'stripes' | 'checks';
  neck: Colour;
  seed: number;
};

/** Neck, then shoulders and chest down to the end of the sheet. Sizes in heads from the head's centre. */
export const body = (build: BodyBuild): Part[] => [
  {
    left: -0.3,
    right: 0.3,
    top: 0.2,
    bottom: 1,
    touch(x, y, out) {
      const half = 0.2 + 0.25 * Math.max(0, y - 0.62);
      out.cover = coverOf(Math.abs(x) / half - 1, 0.05);
      out.z = 0.18 * Math.sqrt(Math.max(0, 1 - (x / half) ** 2));
      const shade = y < 0.62 ? 0.8 : 1;
      [out.r, out.g, out.b] = [build.neck[0] * shade, build.neck[1] * shade, build.neck[2] * shade];
    },
  },
  {
    left: -2,
    right: 2,
    top: 0.6,
    bottom: 14,
    touch(x, y, out) {
      const slope = 0.78 + 0.16 * Math.abs(x) + 1.9 * Math.max(0, Math.abs(x) - build.shoulders * 0.8) ** 2;
      const collar = ellipseLevel(x, y, 0, 0.68, 0.27, 0.2);
      const edge = Math.max((slope - y) * 3, Math.abs(x) / (build.shoulders + 0.08) - 1, -collar);
      out.cover = coverOf(edge, 0.03);
      const level = ellipseLevel(x, y, 0, 1.9, build.shoulders + 0.12, 1.25);
      out.z =
        (y > 1.9 ? dome(Math.abs(x) / (build.shoulders + 0.12) - 1, 0.5) : dome(level, 0.5)) +
        0.03 * fractalNoise(x * 4, y * 3, build.seed, 3);
      const stripe =
        build.pattern === 'plain'
          ? 1
          : build.pattern === 'stripes'
            ? 0.6 + 0.5 * Number(Math.sin(y * 40) > 0)
            : 0.6 + 0.25 * (Number(Math.sin(y * 26) > 0) + Number(Math.sin(x * 26) > 0));
      const weave = stripe * (0.85 + 0.3 * fractalNoise(x * 24, y * 24, build.seed + 2, 2));
      [out.r, out.g, out.b] = [build.cloth[0] * weave, build.cloth[1] * weave, build.cloth[2] * weave];
    },
  },
];
