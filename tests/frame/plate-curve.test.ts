import {describe, expect, it} from 'vitest';
import {colourTies} from '../../src/frame/colour-ties.js';
import {TOE_TERM} from '../../src/frame/curve/basis.js';
import {anyCurve, anyShape, believing, POWERS, strangeness} from '../../src/frame/curve/belief.js';
import {askingPlates, type ColourTies, noPlateCurve, plateCurve} from '../../src/frame/curve/plate-curve.js';
import {linearToSrgb, srgbToLinear} from '../../src/frame/curve/srgb.js';
import {curveTable, lightAt} from '../../src/frame/curve/tone-curve.js';
import type {WallPlates} from '../../src/frame/room/wall-samples.js';
import type {WorkImage} from '../../src/frame/work-image.js';
import {numbers} from './quick-numbers.js';

type Curve = (linear: number) => number;
const DARK = 0.0008;
const GELS = [
  [1, 0.55, 0.2],
  [1, 0.8, 0.5],
] as const;

/** A wall of one colour under two lights that fall off across it, each alone on its plate, with a code's noise. */
const wallThrough = (curve: Curve, seed = 3): ColourTies => {
  const random = numbers(seed);
  const code = (linear: number): number => 255 * curve(Math.min(1, linear)) + random() - 0.5;
  const codes: number[] = [];
  const groups: number[] = [];
  GELS.forEach((gel, plate) => {
    for (let i = 0; i < 300; i++) {
      const level = 0.5 * 2 ** (-7 * random());
      for (const c of [0, 2] as const) {
        codes.push(code(DARK + level * gel[c]), code(DARK + level * gel[1]));
        groups.push(2 * plate + (c === 0 ? 0 : 1));
      }
    }
  });
  return {
    terms: 2,
    codes: Float64Array.from(codes),
    darkCodes: new Float64Array(codes.length).fill(255 * curve(DARK)),
    errors: Float64Array.from(codes, value => Math.hypot(0.5, 0.012 * value)),
    groups: Int32Array.from(groups),
    groupCount: 4,
  };
};

const underS =
  (strength: number): Curve =>
  linear => {
    const v = linearToSrgb(linear);
    return v + strength * (v * v * (3 - 2 * v) - v);
  };
const power =
  (exponent: number): Curve =>
  linear =>
    linear ** (1 / exponent);

/** By how many stops a curve's table differs from the right one, once a power of the light is taken out of it. */
const bentApart = (table: Float32Array, curve: Curve, stops = 6.5): number => {
  const levels = Array.from({length: 40}, (_, n) => 0.5 * 2 ** ((-stops * n) / 39));
  const seen = levels.map(level => Math.log2(lightAt(table, 255 * curve(level))));
  const real = levels.map(level => Math.log2(level));
  const mean = (values: number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;
  const [a, b] = [mean(real), mean(seen)];
  const slope =
    real.reduce((sum, x, n) => sum + (x - a) * (seen[n]! - b), 0) / real.reduce((sum, x) => sum + (x - a) ** 2, 0);
  return Math.max(...real.map((x, n) => Math.abs(seen[n]! - b - slope * (x - a))));
};

/** Stops under half of full scale where a wall may be in the dark. */
const DARKEST = 8;

/** A curve that ends in a toe. */
const withToe =
  (light: number): Curve =>
  linear =>
    linearToSrgb(linear ** 2 / (linear + light));

describe('a toe', () => {
  it.each([0.003, 0.006, 0.01])('of %d is told by the plates, and without it the dark would be more wrong', light => {
    const curve = withToe(light);
    const told = plateCurve([wallThrough(curve)]);
    const {z} = askingPlates(anyCurve, told);
    expect(z[TOE_TERM]).toBeGreaterThan(0.2);
    const without = z.map((value, term) => (term === TOE_TERM ? 0 : value));
    expect(bentApart(curveTable(z), curve, DARKEST)).toBeLessThan(0.8 * bentApart(curveTable(without), curve, DARKEST));
  });

  it('is not seen where there is none, and never makes what is dark brighter', () => {
    for (const curve of [linearToSrgb, underS(0.5), withToe(-0.0004)]) {
      const toe = askingPlates(anyCurve, plateCurve([wallThrough(curve)])).z[TOE_TERM]!;
      expect(toe).toBeLessThan(0.3);
      expect(toe).toBeGreaterThanOrEqual(0);
    }
  });

  it('lies half way from what plates tell to what they would, were the rest of the curve what frames say', () => {
    const told = plateCurve([wallThrough(withToe(0.006))]);
    const whole = believing(anyShape, told.kinds.contrast);
    const toeWith = (z: readonly number[]): number => askingPlates({...anyCurve, z, frames: 3}, told).z[TOE_TERM]!;
    expect(toeWith(whole.z)).toBeCloseTo(askingPlates(anyCurve, told).z[TOE_TERM]!, 9);
    for (const term of [0, 1, 2]) {
      const z = whole.z.map((value, at) => value + (at === term ? 0.5 : 0)).slice(0, TOE_TERM);
      const toes = Array.from({length: 501}, (_, n) => n / 100 - 2);
      const sizes = toes.map(toe => strangeness(whole, [...z, toe]));
      const given = toes[sizes.indexOf(Math.min(...sizes))]!;
      expect(toeWith([...z, 0])).toBeCloseTo(Math.max(0, (whole.z[TOE_TERM]! + given) / 2), 2);
    }
  });
});

describe('what plates alone say of the tone curve', () => {
  it.each(POWERS)('evens out under a power of %d, which they tell from bent curves', exponent => {
    expect(plateCurve([wallThrough(power(exponent))]).againstPowers).toBeLessThan(0);
  });

  it.each([
    ['sRGB', linearToSrgb],
    ['sRGB under a weak S', underS(0.3)],
    ['sRGB under a strong S', underS(0.7)],
    ['a shoulder', (linear: number) => linearToSrgb((1 - Math.exp(-2 * linear)) / (1 - Math.exp(-2)))],
  ] as const)('speaks against every power under %s, and shows how it bends', (_, curve) => {
    const told = plateCurve([wallThrough(curve)]);
    expect(told.againstPowers).toBeGreaterThan(3);
    const before = bentApart(curveTable(anyCurve.z), curve);
    const after = bentApart(curveTable(believing(anyCurve, told.kinds.contrast).z), curve);
    expect(after).toBeLessThan(Math.max(0.05, 0.5 * before));
  });

  it('is nothing without places enough, and changes no belief then', () => {
    expect(plateCurve([])).toEqual(noPlateCurve);
    const few = wallThrough(linearToSrgb);
    const one = {
      ...few,
      codes: few.codes.slice(0, 20),
      darkCodes: few.darkCodes.slice(0, 20),
      groups: few.groups.slice(0, 10),
    };
    expect(plateCurve([one])).toEqual(noPlateCurve);
    expect(askingPlates(anyCurve, noPlateCurve)).toEqual(anyCurve);
  });

  it('is not asked again for the coordinates where frames told them', () => {
    const told = plateCurve([wallThrough(underS(0.5))]);
    const known = {...anyCurve, z: [1, 0, -1, 0], frames: 2};
    expect(askingPlates(known, told).z.slice(0, TOE_TERM)).toEqual(known.z.slice(0, TOE_TERM));
    expect(askingPlates(anyCurve, told).z).not.toEqual(anyCurve.z);
    expect(askingPlates(known, told).againstPowers[0]).toBeGreaterThan(3);
  });
});

const WIDTH = 120;
const HEIGHT = 90;

/** A picture of three planes, code values by a level of each place, its colour and a light's colour. */
const picture = (at: (x: number, y: number, c: 0 | 1 | 2) => number): WorkImage => {
  const plane = (c: 0 | 1 | 2): Float32Array =>
    Float32Array.from({length: WIDTH * HEIGHT}, (_, n) => at(n % WIDTH, Math.floor(n / WIDTH), c));
  return {width: WIDTH, height: HEIGHT, r: plane(0), g: plane(1), b: plane(2)};
};

const noWall: WallPlates = {
  blocks: [],
  beside: [],
  places: new Int32Array(0),
  dark: null,
  lights: [],
  fitted: {
    which: new Int32Array(0),
    dark: new Float64Array(0),
    lights: [new Float64Array(0), new Float64Array(0)],
    reflectance: new Float64Array(0),
  },
  reflectance: new Float64Array(0),
  placeReflectance: new Float32Array(0),
};

/** One light's ratio of two channels over the other's, in stops. */
const ratioOf = ({codes}: ColourTies, tie: number): number =>
  [1, -1, -1, 1].reduce((sum, sign, term) => sum + sign * Math.log2(srgbToLinear(codes[4 * tie + term]! / 255)), 0);

describe('where the plates’ colours should be even', () => {
  const face = {cx: 60, cy: 45, rx: 25, ry: 35};
  // Skin, hair and lips: its colour differs from place to place, and each light's level falls off on its own way.
  const colour = (x: number, y: number, c: number): number => 0.5 + 0.3 * Math.sin(x / 5 + 2 * c) * Math.cos(y / 7 + c);
  const level = (k: number, x: number): number => 0.5 * 2 ** (-4 * (k === 0 ? x / WIDTH : 1 - x / WIDTH));
  const lit = (k: 0 | 1, moved: number): WorkImage =>
    picture((x, y, c) => 255 * linearToSrgb(level(k, x) * GELS[k][c] * colour(x - moved, y, c)));

  it('is on a head of many colours how one light compares with another', () => {
    const [head] = colourTies(
      null,
      [lit(0, 0), lit(1, 0)],
      face,
      [
        {dx: 0, dy: 0},
        {dx: 0, dy: 0},
      ],
      noWall,
    );
    expect(head!.groups.length).toBeGreaterThan(300);
    for (const [c, over] of [
      [0, 0],
      [1, 2],
    ] as const) {
      const want = Math.log2(GELS[0][over] / GELS[0][1]) - Math.log2(GELS[1][over] / GELS[1][1]);
      head!.groups.forEach((group, tie) => {
        // Between pixels codes are mixed, not light.
        if (group === c) expect(Math.abs(ratioOf(head!, tie) - want)).toBeLessThan(0.06);
      });
    }
    expect(plateCurve([head!]).againstPowers).toBeGreaterThan(0);
  });

  it('follows a head that stood elsewhere on the second plate', () => {
    const moved = [lit(0, 0), lit(1, 6)];
    const apart = (dx: number): number => {
      const [head] = colourTies(
        null,
        moved,
        face,
        [
          {dx: 0, dy: 0},
          {dx, dy: 0},
        ],
        noWall,
      );
      const own: number[] = [];
      head!.groups.forEach((group, tie) => {
        if (group !== 0) return;
        own.push(ratioOf(head!, tie));
      });
      const mean = own.reduce((sum, value) => sum + value, 0) / own.length;
      return Math.sqrt(own.reduce((sum, value) => sum + (value - mean) ** 2, 0) / own.length);
    };
    expect(apart(6)).toBeLessThan(0.2 * apart(0));
  });

  it('leaves out what is clipped, and what the dark room hides', () => {
    const dark = picture(() => 20);
    const dim = picture((x, _, c) => (x % 2 === 0 ? 22 : 120 + 10 * c));
    const bright = picture((x, _, c) => (x % 3 === 0 ? 254 : 100 + 10 * c));
    const [head] = colourTies(
      dark,
      [dim, bright],
      face,
      [
        {dx: 0, dy: 0},
        {dx: 0, dy: 0},
      ],
      noWall,
    );
    expect(head!.groups.length).toBeGreaterThan(0);
    expect(Math.min(...head!.codes)).toBeGreaterThan(23);
    expect(Math.max(...head!.codes)).toBeLessThan(250);
  });
});
