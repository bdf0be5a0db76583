import {fractalNoise, latticeNoise} from './random.js';
import {coverOf, dome, ellipseLevel, type Part} from './sitter.js';

export type Colour = readonly [number, number, number];

/** How a drawn head is built; sizes in heads, colours as linear reflectance. */
export type HeadBuild = {
  faceWidth: number;
  /** 0 round to 0.6 pointed. */
  jaw: number;
  skin: Colour;
  hair: Colour;
  hairStyle: 'short' | 'long' | 'bald' | 'bun' | 'curly';
  hat: 'none' | 'brim' | 'cap' | 'pointed';
  hatColour: Colour;
  beard: boolean;
  glasses: boolean;
  /** Head turned: features move sideways, −0.12..0.12. */
  turned: number;
  seed: number;
};

const gauss = (x: number, y: number, cx: number, cy: number, sx: number, sy: number): number =>
  Math.exp(-(((x - cx) / sx) ** 2) - ((y - cy) / sy) ** 2);

const faceLevel = (build: HeadBuild, x: number, y: number): number => {
  const halfWidth = (build.faceWidth / 2) * (1 - build.jaw * Math.max(0, y * 2) ** 2);
  return (Math.abs(x / halfWidth) ** 2.3 + Math.abs(y / 0.5) ** 2.3) ** (1 / 2.3) - 1;
};

const face = (build: HeadBuild): Part => {
  const {skin, hair, turned, seed} = build;
  const eyeX = build.faceWidth * 0.22;
  return {
    left: -0.6,
    right: 0.6,
    top: -0.52,
    bottom: 0.52,
    touch(x, y, out) {
      const level = faceLevel(build, x, y);
      out.cover = coverOf(level, 0.02);
      const fx = x - turned;
      const side = Math.abs(fx) - eyeX;
      out.z =
        dome(level, build.faceWidth * 0.55) +
        0.1 * gauss(fx, y, 0, 0.06, 0.055, 0.13) +
        0.025 * gauss(fx, y, 0, 0.13, 0.07, 0.03) -
        0.035 * gauss(side, y, 0, -0.03, 0.07, 0.05) +
        0.022 * gauss(fx, y, 0, -0.1, 0.2, 0.03) +
        0.018 * gauss(fx, y, 0, 0.27, 0.08, 0.035) +
        0.02 * gauss(fx, y, 0, 0.43, 0.08, 0.05) +
        0.025 * gauss(side, y, 0.02, 0.1, 0.09, 0.07);
      const pores = 0.92 + 0.16 * fractalNoise(x * 22, y * 22, seed, 3);
      const blush = 0.12 * gauss(side, y, 0.03, 0.12, 0.09, 0.08);
      let r = skin[0] * pores * (1 + blush);
      let g = skin[1] * pores * (1 - blush * 0.4);
      let b = skin[2] * pores * (1 - blush * 0.5);
      const blend = (colour: Colour, part: number): void => {
        r += (colour[0] - r) * part;
        g += (colour[1] - g) * part;
        b += (colour[2] - b) * part;
      };
      blend([skin[0] * 0.75, skin[1] * 0.4, skin[2] * 0.42], coverOf(ellipseLevel(fx, y, 0, 0.27, 0.105, 0.033), 0.2));
      blend([0.04, 0.015, 0.015], coverOf(ellipseLevel(fx, y, 0, 0.268, 0.09, 0.006), 0.6));
      blend([0.05, 0.02, 0.015], coverOf(ellipseLevel(Math.abs(fx), y, 0.03, 0.155, 0.016, 0.01), 0.4));
      blend(
        [0.2 + skin[0] * 0.8, 0.19 + skin[1] * 0.9, 0.18 + skin[2]],
        coverOf(ellipseLevel(Math.abs(fx), y, eyeX, -0.03, 0.06, 0.024), 0.15),
      );
      blend([0.08, 0.06, 0.04], coverOf(ellipseLevel(Math.abs(fx), y, eyeX, -0.03, 0.025, 0.025), 0.2));
      const browY = -0.1 + 0.15 * (Math.abs(fx) - eyeX) ** 2;
      blend(hair, 0.9 * coverOf(ellipseLevel(Math.abs(fx), y, eyeX, browY, 0.085, 0.016), 0.4));
      if (build.beard) {
        const fringe = 0.25 * (latticeNoise(x * 60, y * 25, seed + 7) - 0.5);
        const chin = coverOf(0.17 + 1.1 * Math.max(0, 0.25 - Math.abs(fx)) * 0.4 - y + fringe * 0.2, 0.03);
        blend(hair, chin * coverOf(-ellipseLevel(fx, y, 0, 0.27, 0.11, 0.035), 0.2) * 0.95);
      }
      if (build.glasses) {
        const ring = Math.abs(ellipseLevel(Math.abs(fx), y, eyeX, -0.02, 0.105, 0.08)) - 0.1;
        const bridge = Math.max(Math.abs(y + 0.03) - 0.01, Math.abs(fx) - (eyeX - 0.1));
        const temple = Math.max(Math.abs(y + 0.04) - 0.01, eyeX + 0.1 - Math.abs(fx));
        blend([0.03, 0.03, 0.03], Math.max(coverOf(ring, 0.05), coverOf(bridge, 0.006), coverOf(temple, 0.006)));
      }
      out.r = r;
      out.g = g;
      out.b = b;
    },
  };
};

const ears = (build: HeadBuild): Part => ({
  left: -0.7,
  right: 0.7,
  top: -0.2,
  bottom: 0.25,
  touch(x, y, out) {
    const level = ellipseLevel(Math.abs(x + build.turned * 0.4), y, build.faceWidth / 2 + 0.005, 0.02, 0.045, 0.1);
    out.cover = coverOf(level, 0.12);
    out.z = dome(level, 0.04);
    [out.r, out.g, out.b] = [build.skin[0] * 0.95, build.skin[1] * 0.8, build.skin[2] * 0.8];
  },
});

const strands = (build: HeadBuild, x: number, y: number, along: number, across: number): number =>
  0.55 + 0.9 * fractalNoise(x * across, y * along, build.seed + 31, 3);

/** Hair behind the face: a wide shape for long hair, a close one otherwise. */
const hairBehind = (build: HeadBuild): Part => {
  const long = build.hairStyle === 'long';
  const curly = build.hairStyle === 'curly';
  const bun = build.hairStyle === 'bun';
  return {
    left: -0.9,
    right: 0.9,
    top: -0.95,
    bottom: 1.1,
    touch(x, y, out) {
      const rough = 0.1 * (latticeNoise(x * 18, y * 18, build.seed + 5) - 0.5) * (curly ? 2.2 : 0.5);
      const halfWidth = build.faceWidth / 2 + (long ? 0.1 : curly ? 0.13 : 0.045);
      let level = ellipseLevel(x, y, 0, long ? 0.14 : -0.08, halfWidth, long ? 0.72 : curly ? 0.54 : 0.47) + rough;
      if (bun) level = Math.min(level, ellipseLevel(x, y, 0, -0.6, 0.17, 0.15) + rough);
      out.cover = build.hairStyle === 'bald' ? 0 : coverOf(level, 0.03);
      out.z = dome(level, 0.35) + 0.008 * strands(build, x, y, 8, 60);
      const tone = strands(build, x, y, curly ? 40 : 5, curly ? 40 : 50);
      [out.r, out.g, out.b] = [build.hair[0] * tone, build.hair[1] * tone, build.hair[2] * tone];
    },
  };
};

/** Hair over the forehead. */
const hairInFront = (build: HeadBuild): Part => ({
  left: -0.7,
  right: 0.7,
  top: -0.65,
  bottom: 0.1,
  touch(x, y, out) {
    const level = ellipseLevel(x, y, 0, -0.03, build.faceWidth / 2 + 0.035, 0.52);
    const line = -0.24 + 0.9 * x * x + 0.12 * (x + 0.1) + 0.05 * (latticeNoise(x * 30, 0, build.seed + 3) - 0.5);
    const inside = build.hairStyle === 'bald' ? 0 : coverOf(level, 0.03);
    out.cover = inside * coverOf(y - line, 0.02);
    out.z = dome(level, build.faceWidth * 0.62) + 0.008 * strands(build, x, y, 8, 60);
    const tone = strands(build, x, y, 5, 50);
    [out.r, out.g, out.b] = [build.hair[0] * tone, build.hair[1] * tone, build.hair[2] * tone];
  },
});

const hat = (build: HeadBuild): Part => ({
  left: -0.85,
  right: 0.85,
  top: -1.15,
  bottom: -0.1,
  touch(x, y, out) {
    const w = build.faceWidth / 2 + 0.06;
    let level = 1;
    if (build.hat === 'brim') {
      const crown = Math.max(Math.abs(x) / (w - 0.04) - 1, Math.abs((y + 0.5) / 0.24) ** 4 - 1);
      level = Math.min(crown, ellipseLevel(x, y, 0, -0.28, w + 0.22, 0.06));
    }
    if (build.hat === 'cap') level = Math.max(ellipseLevel(x, y, 0, -0.22, w, 0.38), (y + 0.2) * 4);
    if (build.hat === 'pointed')
      level = Math.max(Math.abs(x) / (0.02 + (y + 1.1) * 0.58) - 1, (y + 0.24) * 5, -1.1 - y);
    out.cover = build.hat === 'none' ? 0 : coverOf(level, 0.03);
    out.z =
      0.3 * Math.sqrt(Math.max(0, 1 - (x / (w + 0.25)) ** 2)) + 0.01 * latticeNoise(x * 40, y * 40, build.seed + 9);
    const band = build.hat === 'brim' && Math.abs(y + 0.33) < 0.03 ? 0.4 : 1;
    const weave = band * (0.85 + 0.3 * fractalNoise(x * 30, y * 30, build.seed + 11, 2));
    [out.r, out.g, out.b] = [build.hatColour[0] * weave, build.hatColour[1] * weave, build.hatColour[2] * weave];
  },
});

/** Parts of a drawn head, to be painted in this order over the body. */
export const drawnHead = (build: HeadBuild): {behind: Part[]; front: Part[]} => ({
  behind: [hairBehind(build)],
  front: [ears(build), face(build), hairInFront(build), hat(build)],
});

/** The ellipse a user would set around such a head, in heads from its centre. */
export const drawnHeadEllipse = (build: HeadBuild): {cx: number; cy: number; rx: number; ry: number} => {
  const top = build.hat === 'none' ? (build.hairStyle === 'bun' ? -0.6 : -0.55) : build.hat === 'cap' ? -0.6 : -0.7;
  const bottom = 0.51;
  return {cx: 0, cy: (top + bottom) / 2, rx: build.faceWidth / 2 + 0.05, ry: (bottom - top) / 2};
};
