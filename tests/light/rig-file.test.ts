import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import {rigSchema} from '../../shared/rig.js';
import {parseRig, printRig, RigFault} from '../../src/light/rig-file.js';
import {testRig} from './test-rig.js';

const light = {id: 'A', guideNumberMetres: 32, distanceMetres: 1.2, angleDegrees: -48};
const rigText = (change: Record<string, unknown>, of: Record<string, unknown> = light): string =>
  JSON.stringify({schema: 1, lights: [{...of, ...change}]});
const without = (key: string): Record<string, unknown> =>
  Object.fromEntries(Object.entries(light).filter(([name]) => name !== key));

describe('a rig file', () => {
  it('comes back as it was written', () => {
    expect(parseRig(printRig(testRig))).toEqual(testRig);
  });

  it('takes the plainest thing for what is left out', () => {
    const rig = parseRig(rigText({}));
    expect(rigSchema.parse(rig)).toEqual(rig);
    expect(rig.lights[0]).toMatchObject({
      on: true,
      power: 1,
      pops: 1,
      gel: null,
      snoot: null,
      aimOffDegrees: 0,
      heightMetres: 1.6,
    });
  });

  it('takes the guide number in feet, at another ISO, or by zoom', () => {
    expect(
      parseRig(rigText({guideNumberFeet: 105}, without('guideNumberMetres'))).lights[0]!.guideNumberMetres,
    ).toBeCloseTo(32, 1);
    expect(parseRig(rigText({guideNumberAtIso: 200})).lights[0]!.guideNumberMetres).toBeCloseTo(22.63, 2);
    const guideNumbersByZoom = [
      {zoomMillimetres: 24, guideNumberMetres: 28},
      {zoomMillimetres: 50, guideNumberMetres: 42},
    ];
    const zoomed = rigText({guideNumbersByZoom, zoomMillimetres: 50}, without('guideNumberMetres'));
    expect(parseRig(zoomed).lights[0]!.guideNumberMetres).toBe(42);
  });

  it('takes power as flashes show it, and gels by their common names', () => {
    const {power, gel} = parseRig(rigText({power: '1/8 +0.3', gel: 'half CTO'})).lights[0]!;
    expect(power).toBeCloseTo(2 ** (-8 / 3), 9);
    expect(gel).toEqual({name: 'half CTO', miredShift: 109, lossStops: 0.49});
  });

  it.each([
    ['{', 'it is not JSON'],
    ['[]', 'it must be an object in braces'],
    ['{"schema": 2, "lights": []}', 'schema must be 1'],
    ['{"schema": 1}', 'lights is missing'],
    [rigText({distanceMetres: -1}), 'light A, distanceMetres must be more than 0'],
    [rigText({distanceMetres: '1.2'}), 'light A, distanceMetres must be a number'],
    [rigText({distance: 1}), 'light A has "distance", which is not a word of rig files'],
    [rigText({power: 3}), 'light A, power must be at most 1'],
    [rigText({power: 'half'}), 'light A has the power "half"; write it like "1/8" or "1/8 +0.3"'],
    [rigText({power: '1/0'}), 'light A has the power "1/0"; write it like "1/8" or "1/8 +0.3"'],
    [rigText({gel: 'rosy'}), 'light A has the gel "rosy"; known are full CTO'],
    [rigText({guideNumberFeet: 105}), 'light A needs one of guideNumberMetres, guideNumberFeet and guideNumbersByZoom'],
    [rigText({}, without('guideNumberMetres')), 'light A needs one of guideNumberMetres'],
    [
      rigText({guideNumbersByZoom: [{zoomMillimetres: 24, guideNumberMetres: 28}]}, without('guideNumberMetres')),
      'light A has guide numbers by zoom, but no zoomMillimetres',
    ],
    [rigText({heightMetres: 4}), 'light A hangs farther above or below the face than it is away from it'],
    [
      rigText({snoot: {sourceMillimetres: 50, exitMillimetres: 60, tubeMillimetres: 1300}}),
      'light A has a snoot that reaches past the face',
    ],
    [JSON.stringify({schema: 1, lights: [light, light]}), 'there are two lights A'],
  ])('%s is refused in one sentence', (text, words) => {
    expect(() => parseRig(text)).toThrow(RigFault);
    expect(() => parseRig(text)).toThrow(`The rig file can't be used: ${words}`);
  });

  it('never lets an escape sequence into its sentence, and never fails in another way', () => {
    expect(() => parseRig(rigText({id: 'A\u001b[31m'}))).toThrow(/^[^\u0000-\u001f]*$/);
    fc.assert(
      fc.property(
        fc.oneof(
          fc.string(),
          fc.json(),
          fc.jsonValue().map(value => JSON.stringify({schema: 1, lights: [value]})),
        ),
        text => {
          try {
            parseRig(text);
          } catch (error) {
            expect(error).toBeInstanceOf(RigFault);
          }
        },
      ),
    );
  });
});
