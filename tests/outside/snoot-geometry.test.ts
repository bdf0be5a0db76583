import {describe, expect, it} from 'vitest';
import {snootShare, snootSpot} from '../../src/light/snoot.js';

/*
 * Computed from similar triangles, the geometry that S nde-ed.org gives for radiographic unsharpness. Millimetres.
 */
describe('snoot against its geometry', () => {
  it.each([
    {s: 0, a: 50, l: 200, d: 1000, full: 300, outer: 300, penumbra: 0},
    {s: 50, a: 50, l: 200, d: 1000, full: 50, outer: 550, penumbra: 250},
    {s: 50, a: 100, l: 200, d: 1000, full: 350, outer: 850, penumbra: 250},
    {s: 40, a: 30, l: 250, d: 1200, full: null, outer: 366, penumbra: 192},
  ])(
    'source $s, exit $a, tube $l, throw $d: full $full, outer $outer, soft edge $penumbra',
    ({s, a, l, d, full, outer, penumbra}) => {
      const spot = snootSpot(
        {name: '', sourceMillimetres: s, exitMillimetres: a, tubeMillimetres: l, lossStops: 0},
        d / 1000,
      );
      if (full === null) expect(spot.fullMetres).toBeNull();
      else expect(spot.fullMetres! * 1000).toBeCloseTo(full, 6);
      expect(spot.outerMetres * 1000).toBeCloseTo(outer, 6);
      expect(spot.penumbraMetres * 1000).toBeCloseTo(penumbra, 6);
    },
  );

  it('agrees with rays counted one by one: the part of the source that points of the face see', () => {
    const tube = {name: '', sourceMillimetres: 50, exitMillimetres: 60, tubeMillimetres: 220, lossStops: 0};
    const throwMetres = 0.98;
    const {fullMetres, outerMetres} = snootSpot(tube, throwMetres);
    // In the plane through the axis: how much of the source's width a point sees through the exit.
    const seen = (off: number): number => {
      const rays = 4001;
      let through = 0;
      for (let i = 0; i < rays; i++) {
        const from = (i / (rays - 1) - 0.5) * 0.05;
        const atExit = from + ((off - from) * 0.22) / (0.22 + throwMetres);
        if (Math.abs(atExit) <= 0.03) through++;
      }
      return through / rays;
    };
    // In the room: rays from a grid over the round source to a point, kept where they pass the round exit.
    const seenInRoom = (off: number): number => {
      let all = 0;
      let through = 0;
      for (let i = -200; i <= 200; i++) {
        for (let j = -200; j <= 200; j++) {
          const x = (i / 200) * 0.025;
          const y = (j / 200) * 0.025;
          if (Math.hypot(x, y) > 0.025) continue;
          all++;
          const part = 0.22 / (0.22 + throwMetres);
          if (Math.hypot(x + (off - x) * part, y - y * part) <= 0.03) through++;
        }
      }
      return through / all;
    };
    for (const off of [0, 0.1, 0.15, 0.2, 0.25]) {
      expect(Math.abs(snootShare(tube, 0.22 + throwMetres, off) - seenInRoom(off))).toBeLessThan(0.005);
    }
    expect(seen(fullMetres! / 2 - 0.001)).toBe(1);
    expect(seen(fullMetres! / 2 + 0.01)).toBeLessThan(1);
    expect(seen(outerMetres / 2 + 0.001)).toBe(0);
    expect(seen(outerMetres / 2 - 0.01)).toBeGreaterThan(0);
  });
});
