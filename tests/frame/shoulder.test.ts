import {expect, it} from 'vitest';
import {linearToSrgb} from '../../src/frame/curve/srgb.js';
import {fineTable, plainTable, type ToneTable} from '../../src/frame/curve/tone-curve.js';
import {isOnShoulder} from '../../src/frame/pixel-doubt.js';

/** A curve through which white is four times full scale of a plain one, while middle grey is coded as ever. */
const roomy: ToneTable = new Float32Array(257);
for (let code = 0, light = 0; code < 257; code++) {
  const codeOf = (x: number): number => 255 * linearToSrgb((1.2 * x * (1 + (1.2 * x) / 4.8 ** 2)) / (1 + 1.2 * x));
  while (light < 4 && codeOf(light) < Math.min(255, code)) light += 0.0005;
  roomy[code] = light / 4;
}

const isOn = (table: ToneTable, ...codes: [number, number, number]): boolean =>
  isOnShoulder({at: Int32Array.of(0), seen: codes.map(code => Float32Array.of(code)), fine: fineTable(table)}, 0);

it('is where one channel is nearly white, through a curve that leaves much above middle grey', () => {
  expect(isOn(roomy, 120, 230, 90)).toBe(true);
  expect(isOn(roomy, 120, 200, 90)).toBe(false);
  expect(isOn(plainTable, 255, 255, 255)).toBe(false);
});
