import {describe, expect, it} from 'vitest';
import {airyMicrometres, depthOfField} from '../../src/light/focus.js';

const at = (focalMillimetres: number, fNumber: number) => ({
  focalMillimetres,
  fNumber,
  sensorWidthMillimetres: 36,
  sensorHeightMillimetres: 24,
});

/* near..far in millimetres, null for infinity; computed from H = f²/(N·c) + f with c = 0.030 mm. */
const table: [focal: number, fNumber: number, h: number, rows: [number, number | null][]][] = [
  [
    16,
    8,
    1082.7,
    [
      [627.3, null],
      [699.3, null],
      [790.0, null],
    ],
  ],
  [
    16,
    10,
    869.3,
    [
      [547.6, null],
      [601.5, null],
      [667.1, null],
    ],
  ],
  [
    24,
    8,
    2424.0,
    [
      [928.8, 3896.1],
      [1096.9, 11_320.8],
      [1339.3, null],
    ],
  ],
  [
    24,
    10,
    1944.0,
    [
      [848.1, 6486.5],
      [985.6, null],
      [1176.5, null],
    ],
  ],
  [
    35,
    8,
    5139.2,
    [
      [1165.5, 2103.8],
      [1444.1, 3251.9],
      [1897.7, 7158.2],
    ],
  ],
  [
    35,
    10,
    4118.3,
    [
      [1103.9, 2339.3],
      [1350.2, 3855.2],
      [1738.0, 10_953.8],
    ],
  ],
  [
    50,
    8,
    10_466.7,
    [
      [1316.7, 1742.6],
      [1684.6, 2460.6],
      [2337.9, 4185.3],
    ],
  ],
  [
    50,
    10,
    8383.3,
    [
      [1277.7, 1816.0],
      [1620.7, 2611.0],
      [2215.7, 4644.0],
    ],
  ],
];

describe('depth of field against tables', () => {
  for (const [focal, fNumber, h, rows] of table) {
    it(`${focal} mm f/${fNumber}: hyperfocal ${h} mm, and near and far at 1.5, 2 and 3 m (computed)`, () => {
      for (const [index, metres] of [1.5, 2, 3].entries()) {
        const depth = depthOfField(at(focal, fNumber), metres);
        const [near, far] = rows[index]!;
        expect(Math.abs(depth.hyperfocalMetres * 1000 - h)).toBeLessThan(0.06);
        expect(Math.abs(depth.nearMetres * 1000 - near)).toBeLessThan(0.06);
        if (far === null) expect(depth.farMetres).toBeNull();
        else expect(Math.abs(depth.farMetres! * 1000 - far)).toBeLessThan(0.06);
      }
    });
  }

  it('50 mm f/8 has its hyperfocal distance at 10467 mm (encyclopaedia, "Hyperfocal distance")', () => {
    expect(Math.round(depthOfField(at(50, 8), 2).hyperfocalMetres * 1000)).toBe(10_467);
  });

  it('2 in at f/8 with c .002 in: 20.8 ft (US Army SS0507)', () => {
    const depth = depthOfField(at(50.8, 8), 3, 0.0508);
    expect(depth.hyperfocalMetres / 0.3048).toBeCloseTo(20.8, 0);
  });

  it.each([
    [8, 10.74],
    [10, 13.42],
    [16, 21.47],
  ])('the Airy disc at f/%d is %d µm (computed, 550 nm)', (fNumber, micrometres) => {
    expect(airyMicrometres(fNumber)).toBeCloseTo(micrometres, 2);
  });
});
