import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import {demoRig, type Rig, rigSchema} from '../../shared/rig.js';
import {parseRig, printRig} from '../../src/light/rig-file.js';
import {planFields} from '../../src/screen/ui/plan-fields.js';
import type {Draft} from '../../src/screen/ui/state.js';

const plan: Draft = {exposure: {shutterSeconds: 8, fNumber: 8, iso: 100}, roomEv100: -4, rig: demoRig};

const stepped = (id: string, steps: number, draft: Draft = plan, earlier: Rig[] = [demoRig]): Draft =>
  planFields(draft, earlier)
    .find(field => field.id === id)!
    .step(draft, steps);

const lightA = (draft: Draft) => draft.rig.lights[0]!;

describe("the Plan's values", () => {
  it('begin with the exposure, the room and each light, and go on with how the set is built', () => {
    const ids = planFields(plan).map(field => field.id);
    const first = ['time', 'aperture', 'iso', 'room', 'A on', 'A power', 'A distance', 'A gel'];
    expect(ids.slice(0, 12)).toEqual([...first, 'B on', 'B power', 'B distance', 'B gel']);
    expect(ids.slice(12, 22)).toEqual(
      ['angle', 'height', 'aim', 'snoot', 'tube', 'exit', 'guide', 'zoom', 'pops', 'colour'].map(what => `A ${what}`),
    );
    expect(ids.slice(-7)).toEqual(['camera', 'back wall', 'left wall', 'right wall', 'eyes', 'lens', 'trail']);
    expect(new Set(ids).size).toBe(ids.length);
  });

  it.each<[string, number, (draft: Draft) => unknown, unknown]>([
    ['A angle', 1, draft => lightA(draft).angleDegrees, -46],
    ['A height', -2, draft => lightA(draft).heightMetres, 1.8],
    ['A aim', 5, draft => lightA(draft).aimOffDegrees, 5],
    ['A tube', 1, draft => lightA(draft).snoot?.tubeMillimetres, 230],
    ['A exit', -1, draft => lightA(draft).snoot?.exitMillimetres, 55],
    ['A guide', 4, draft => lightA(draft).guideNumberMetres, 36],
    ['A zoom', 1, draft => lightA(draft).zoomMillimetres, 55],
    ['A zoom', -9, draft => lightA(draft).zoomMillimetres, null],
    ['A pops', 2, draft => lightA(draft).pops, 3],
    ['A colour', -1, draft => lightA(draft).kelvin, 5400],
    ['camera', 1, draft => draft.rig.mark.cameraDistanceMetres, 2.1],
    ['back wall', -1, draft => draft.rig.mark.backWallMetres, 1.55],
    ['left wall', 1, draft => draft.rig.mark.leftWallMetres, 1.85],
    ['eyes', -1, draft => draft.rig.mark.eyeHeightMetres, 1.55],
    ['lens', 1, draft => draft.rig.lens.focalMillimetres, 55],
  ])('%s changes by %d steps, and nothing else does', (id, steps, value, wanted) => {
    const changed = stepped(id, steps);
    expect(value(changed)).toBe(wanted);
    expect(stepped(id, -steps, changed).rig).toEqual(demoRig);
  });

  it('takes the snoot off and puts the same one on again, even after a rig without it was set', () => {
    const bare = stepped('A snoot', 1);
    expect(lightA(bare).snoot).toBeNull();
    expect(planFields(bare).some(field => field.id === 'A tube')).toBe(false);
    const own = {...demoRig.lights[0]!.snoot!, name: 'cereal box', tubeMillimetres: 300};
    const before: Rig = {...demoRig, lights: [{...demoRig.lights[0]!, snoot: own}]};
    expect(lightA(stepped('A snoot', 1, bare, [bare.rig, before])).snoot).toEqual(own);
  });

  it('has no side wall beyond the farthest step, and finds it again where it was', () => {
    let draft = plan;
    for (let presses = 0; presses < 60; presses++) draft = stepped('right wall', 1, draft);
    expect(draft.rig.mark.rightWallMetres).toBeNull();
    expect(stepped('right wall', -1, draft).rig.mark.rightWallMetres).toBe(1.8);
  });

  it('turns all the way round behind the sitter', () => {
    let draft = plan;
    for (let presses = 0; presses < 180; presses++) draft = stepped('B angle', 1, draft);
    expect(draft.rig.lights[1]!.angleDegrees).toBe(112);
  });

  it('never lets a light hang higher above the face than it is away from it', () => {
    let draft = plan;
    for (let presses = 0; presses < 60; presses++) draft = stepped('A height', 1, draft);
    // Eyes at 1.6 m, the light 1.1 m from the face: below 2.7 m.
    expect(lightA(draft).heightMetres).toBe(2.65);
  });

  it('turns a light round as often as one likes, and it is still somewhere between −180° and 180°', () => {
    const turned = stepped('B angle', 360 * 3 + 7, stepped('A angle', -189, plan)).rig.lights;
    for (const {angleDegrees} of turned) {
      expect(angleDegrees).toBeGreaterThan(-180);
      expect(angleDegrees).toBeLessThanOrEqual(180);
    }
  });

  it('leads by no keys to a rig that a rig file may not hold', () => {
    const press = fc.tuple(fc.nat({max: 60}), fc.integer({min: -200, max: 200}));
    fc.assert(
      fc.property(fc.array(press, {maxLength: 40}), presses => {
        const reached = presses.reduce((draft, [at, steps]) => {
          const fields = planFields(draft, [demoRig]);
          return fields[at % fields.length]!.step(draft, steps);
        }, plan);
        expect(rigSchema.parse(reached.rig)).toEqual(reached.rig);
        expect(parseRig(printRig(reached.rig))).toEqual(reached.rig);
      }),
    );
  });
});
