import {describe, expect, it} from 'vitest';
import {demoRig} from '../../shared/rig.js';
import {expectedChanges} from '../../src/screen/expected.js';
import {answerTo, costOf} from '../../src/screen/plan-answers.js';
import {planFields} from '../../src/screen/ui/plan-fields.js';
import type {Draft} from '../../src/screen/ui/state.js';
import {someAttempt, someShoot, someState} from './fake-session.js';

const plan: Draft = {exposure: {shutterSeconds: 8, fNumber: 8, iso: 100}, roomEv100: -4, rig: demoRig};

const answer = (id: string, draft: Draft = plan): string =>
  answerTo(planFields(draft).find(field => field.id === id)!, draft);

describe('what the Plan answers', () => {
  it('tells how far the room falls', () => {
    // EV100 of 8 s f/8 ISO 100 is 3 (ISO 2720): a room of EV −4 lies 7 EV under middle grey.
    expect(answer('room')).toMatch(/^falls to −7\.0 EV: /);
    expect(answer('time')).toContain('EV 3.0');
  });

  it('tells the depth of field around the mark in centimetres', () => {
    // 50 mm at f/8 and 2 m: 1684.6 to 2460.6 mm with c = 0.030 mm (thin-lens formula).
    expect(answer('aperture')).toBe('sharp from 32 cm before the mark to 46 cm behind it');
  });

  it('tells what a change of the exposure costs', () => {
    // f/8 ISO 100 to f/10 ISO 50: −2·log2(10/8) − 1 = −1.644 EV; 2^(−1.644/2) = 0.566 of the distance.
    const cost = costOf(plan.exposure, {shutterSeconds: 8, fNumber: 10, iso: 50});
    expect(cost).toBe(
      'f/8 ISO 100 → f/10 ISO 50: the room −1.64 EV, flashes and trail −1.64 EV; +1.64 EV of power or 0.57× the distance holds the face',
    );
    expect(costOf(plan.exposure, {...plan.exposure, shutterSeconds: 16})).toContain('the flashes stay');
    expect(costOf(plan.exposure, plan.exposure)).toBe('');
  });

  it('tells what follows from how the set is built', () => {
    expect(answer('A angle')).toBe('48° to the left');
    expect(answer('A height')).toBe('0.3 m above the eyes');
    expect(answer('A aim')).toMatch(/^meets the back wall at −\d\.\d EV against the face$/);
    expect(answer('A tube')).toMatch(/^spot 10 cm, soft edge 20 cm$/);
    // Guide number over distance: 32 / 1.1 = 29.1 (ISO 1230).
    expect(answer('A guide')).toMatch(/^f\/29/);
    expect(answer('back wall')).toMatch(/^against the face it gets A at −/);
    expect(answer('left wall')).toMatch(/^against the face it gets B at −/);
    expect(answer('right wall')).toBe('');
    const many = {...plan, rig: {...demoRig, lights: [{...demoRig.lights[0]!, power: 1, pops: 4}]}};
    expect(answer('A pops', many)).toContain('too long for 8 s');
    expect(answer('A pops')).toBe('');
  });

  it('answers whole beside every value of a usual rig where the window is as narrow as it may be', () => {
    // 80 columns without margin, gaps and value: see src/screen/places/plan.tsx.
    const columns = 47;
    const dark = {...plan, roomEv100: null};
    for (const draft of [plan, dark, {...plan, exposure: {...plan.exposure, fNumber: 16}}]) {
      for (const field of planFields(draft)) {
        const said = answerTo(field, draft, columns);
        expect(said.length, said).toBeLessThanOrEqual(columns);
      }
    }
    expect(answerTo(planFields(plan).find(field => field.id === 'A distance')!, plan, columns)).toMatch(
      /^spot 10 cm; sway .* (to and fro|in depth)$/,
    );
  });

  it('says in a sentence when a light cannot stand where the rig puts it', () => {
    const tooNear = {...plan, rig: {...demoRig, lights: [{...demoRig.lights[0]!, distanceMetres: 0.2}]}};
    expect(answer('A distance', tooNear)).toMatch(/check both\.$/);
  });

  it('foretells the checks that a change moves, and no others', () => {
    const state = someState({shoot: someShoot({attempts: [someAttempt(1)]})});
    expect(expectedChanges(state, {...plan, rig: state.shoot.rig})).toEqual([]);
    const lights = demoRig.lights.map(light => (light.id === 'B' ? {...light, power: light.power / 4} : light));
    const changes = expectedChanges(state, {...plan, rig: {...demoRig, lights}})!;
    // Two stops less light of B: the patch that failed at −5.85 EV falls to −7.85 EV.
    expect(
      changes.some(change => /^spill B .*−7\.\d EV.*\(ok\)$/.test(change)),
      changes.join('; '),
    ).toBe(true);
    expect(changes.some(change => change.startsWith('room'))).toBe(false);
  });

  it('foretells nothing before a frame was measured', () => {
    expect(expectedChanges(someState(), plan)).toBeNull();
  });
});
