import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import {type PlanOptions, planReport} from '../../src/light/plan.js';
import {planReportSchema} from '../../src/light/plan-schema.js';
import {printPlan} from '../../src/light/plan-text.js';
import {testRig} from './test-rig.js';

const exposure = {shutterSeconds: 8, fNumber: 8, iso: 100};
const wide = {focalMillimetres: 24, distanceMetres: 1.5, sensorWidthMillimetres: 36, sensorHeightMillimetres: 24};
const inWords = (asked: PlanOptions, more: {explain?: boolean; feet?: boolean} = {}): string =>
  printPlan(planReport(asked), {explain: false, feet: false, asked, ...more});

describe('a plan', () => {
  it('8 s f/8 ISO 100 is EV100 3, and a room of EV −4 falls to −7 EV', () => {
    const report = planReport({exposure, roomEv100: -4});
    expect(report.exposure.ev100).toBeCloseTo(3, 9);
    expect(report.room).toMatchObject({ev100: -4, levelEv: -7});
    expect(report.room!.say).toContain('The room falls to −7.0 EV');
  });

  it('24 mm f/8 at 1.5 m is sharp from 0.929 to 3.896 m', () => {
    const {focus} = planReport({exposure, focus: wide});
    expect(focus!.nearMetres).toBeCloseTo(0.929, 3);
    expect(focus!.farMetres!).toBeCloseTo(3.896, 3);
    expect(focus!.hyperfocalMetres).toBeCloseTo(2.424, 3);
  });

  it('to f/10 ISO 50 is −1.644 EV: flashes 1.644 EV up or at 0.566 of the distance', () => {
    const {change} = planReport({exposure, to: {fNumber: 10, iso: 50}});
    expect(change!.ev).toBeCloseTo(-1.644, 3);
    expect(change!.flashPowerEv).toBeCloseTo(1.644, 3);
    expect(change!.distanceFactor).toBeCloseTo(0.566, 3);
    expect(change!.trailEv).toBeCloseTo(-1.644, 3);
  });

  it('a change of time alone leaves flash and trail', () => {
    const {change} = planReport({exposure, to: {shutterSeconds: 4}});
    expect(change).toEqual({ev: -1, flashPowerEv: 0, distanceFactor: 1, trailEv: 0});
  });

  it('takes the room in lux as well: 0.15625 lx is EV −4', () => {
    expect(planReport({exposure, roomLux: 0.15625}).room!.ev100).toBeCloseTo(-4, 9);
  });

  it('leaves out what nobody asked for', () => {
    expect(planReport({exposure})).toMatchObject({room: null, focus: null, flashes: [], change: null});
  });

  it('answers for each flash of the rig that is on: level, step, rest, spot, colour', () => {
    const rig = {...testRig, lights: testRig.lights.map(light => (light.id === 'B' ? {...light, on: false} : light))};
    const {flashes} = planReport({exposure, rig});
    expect(flashes.map(flash => flash.id)).toEqual(['A']);
    // GN 32·√¼ / 1.2 m = 13.33; against f/8 +1.47 stops; less 1.86 stops of gel and snoot.
    expect(flashes[0]!.levelEv).toBeCloseTo(2 * Math.log2(16 / 1.2 / 8) - 1.86, 9);
    expect(flashes[0]!.kelvin).toBeCloseTo(2934, 0);
    // 60 + 10·980/220 mm.
    expect(flashes[0]!.spotMetres).toBeCloseTo(0.10455, 4);
    expect(flashes[0]!.levelEv + Math.log2(flashes[0]!.suggestedPower / flashes[0]!.power)).toBeCloseTo(
      flashes[0]!.leftoverEv,
      9,
    );
    expect(Math.abs(flashes[0]!.leftoverEv)).toBeLessThanOrEqual(1 / 6 + 1e-9);
  });

  it('takes the focus from the rig where no lens is given, and from the lens where one is', () => {
    expect(planReport({exposure, rig: testRig}).focus!.nearMetres).toBeCloseTo(1.6846, 4);
    expect(planReport({exposure, rig: testRig, focus: wide}).focus!.nearMetres).toBeCloseTo(0.929, 3);
  });

  it('says null for a spot where no point sees the whole source', () => {
    const snoot = {name: 'narrow', sourceMillimetres: 40, exitMillimetres: 30, tubeMillimetres: 250, lossStops: 0};
    const rig = {...testRig, lights: [{...testRig.lights[0]!, snoot, distanceMetres: 1.45}]};
    expect(planReport({exposure, rig}).flashes[0]!.spotMetres).toBeNull();
    expect(inWords({exposure, rig})).toContain('No point of the face sees the whole source through this snoot');
  });

  it('keeps to its schema, strictly, whatever it is asked', () => {
    const settings = fc.record({
      shutterSeconds: fc.double({min: 1e-4, max: 3600, noNaN: true}),
      fNumber: fc.double({min: 0.7, max: 64, noNaN: true}),
      iso: fc.integer({min: 25, max: 409_600}),
    });
    fc.assert(
      fc.property(settings, settings, fc.double({min: -12, max: 16, noNaN: true}), (one, to, roomEv100) => {
        const report = planReport({exposure: one, to, roomEv100, rig: testRig, focus: wide});
        const printed: unknown = JSON.parse(JSON.stringify(report));
        expect(planReportSchema.parse(printed)).toEqual(printed);
      }),
    );
  });

  it.each<[string, PlanOptions, string]>([
    ['two room levels', {exposure, roomEv100: 1, roomLux: 1}, "Give the room's light as EV or in lux, not both."],
    ['no light at all', {exposure, roomLux: 0}, 'The room light is 0 lx; it must lie between 0.000001 and 200000 lx.'],
    [
      'a room brighter than the sun',
      {exposure, roomEv100: 40},
      "The room's light is 40 EV; it must lie between −20 and 20 EV.",
    ],
    [
      'a lens that cannot focus there',
      {exposure, focus: {...wide, distanceMetres: 0.01}},
      "a lens of 24 mm can't focus nearer than its focal length.",
    ],
    [
      'a time longer than a day',
      {exposure: {...exposure, shutterSeconds: 1e6}},
      'The shutter time is 1000000 s; it must lie between',
    ],
    [
      'an aperture that no lens has',
      {exposure, to: {fNumber: 0.1}},
      'The f-number is 0.1; it must lie between 0.5 and 128.',
    ],
  ])('refuses %s in one sentence', (_, options, sentence) => {
    expect(() => planReport(options)).toThrow(sentence);
  });
});

describe('a plan in words', () => {
  it('reads as a person would say it', () => {
    const text = inWords({exposure, roomEv100: -4, focus: wide, rig: testRig, to: {fNumber: 10, iso: 50}});
    expect(text).toContain('8 s at f/8, ISO 100 makes 20 lx of steady light middle grey (EV 3.0 at ISO 100).');
    expect(text).toContain('Sharp from 0.93 m to 3.9 m: 57 cm in front of the mark, 240 cm behind it.');
    expect(text).toContain('A  at 1/4 from 1.2 m lights the face to −0.4 EV: 1/4 +0.3 brings it to −0.1 EV, 2950 K.');
    expect(text).toContain('To keep the face, each flash must give 1.64 EV more, or stand at 0.57 times its distance.');
    expect(text).toContain('A  from 1/4 to 1/2 +0.7, or from 1.2 m to 0.68 m, or fire 3 times.');
    expect(text).toContain('key to fill');
    expect(text).toContain(
      'What passes the face meets the back wall after 3.67 m at −3.9 EV against the face; at 0.9 m',
    );
    expect(text).toContain('White balance 2950 K makes the light of A neutral; 3550 K keeps it 60 mired warm.');
    expect(text).toContain(
      'The trail of the dimmed wand comes out at 1.5 EV, whatever the time; a hand twice as fast leaves 0.5 EV',
    );
    expect(text).toContain('To keep the trail, move the hand 0.32 times as fast.');
    expect(text).toContain('On the mark the lens holds a print of up to');
  });

  it('is in metres, and has feet beside them on request', () => {
    expect(inWords({exposure, rig: testRig})).not.toMatch(/\d ft/);
    expect(inWords({exposure, rig: testRig}, {feet: true})).toContain('1.2 m (3.9 ft)');
  });

  it('explains every number on request: formula, inputs, source', () => {
    const asked = {exposure, roomEv100: -4, focus: wide, rig: testRig, to: {iso: 50}};
    const text = inWords(asked, {explain: true});
    for (const words of [
      'EV100 = log2(N²/t) − log2(S/100) = log2(8²/8) − log2(100/100) = 3.',
      'ISO 2720:1974',
      '−4 − 3 = −7 EV',
      'H = f²/(N·c) + f with f = 24 mm, N = 8, c = 0.03 mm',
      'ISO 1230; inverse square law.',
      '= 2934 K',
      'full spot = a + (a−s)·D/L',
      'Similar triangles',
      'wall against face = 2·log2(d/D) + log2(cos)',
      '− log2 of the hand',
    ]) {
      expect(text).toContain(words);
    }
    expect(inWords(asked)).not.toContain('ISO 2720');
  });

  it('tells how to bury a room that is too bright, and how dark it must be', () => {
    const text = inWords({exposure, roomEv100: -3});
    expect(text).toContain('For −7.0 EV the room must be at EV −4.0 (0.16 lx) or darker.');
    expect(text).toContain('Cheapest: 4 s: the room falls to −7.0 EV; 4 s less to paint, flashes and trail stay.');
  });

  it('says infinity where there is no far end, and warns of diffraction', () => {
    const text = inWords({exposure: {...exposure, fNumber: 16}, focus: {...wide, distanceMetres: 3}});
    expect(text).toContain('to infinity');
    expect(text).toContain('At f/16 diffraction spreads a point over 21 µm');
  });

  it('tells how to measure a room that nobody measured, where the exposure is long', () => {
    expect(inWords({exposure})).toContain('a probe of 1/4 s at f/8, ISO 3200 shows what it would leave');
    expect(inWords({exposure: {...exposure, shutterSeconds: 1 / 60}})).not.toContain('probe');
  });

  it('says that a long time needs bulb', () => {
    expect(inWords({exposure: {...exposure, shutterSeconds: 60}})).toContain('Most cameras need bulb');
  });

  it('works from the report alone, with less to say', () => {
    const text = printPlan(planReport({exposure, roomEv100: -4, rig: testRig}), {explain: true, feet: false});
    expect(text).toContain('A  at 1/4 lights the face to −0.4 EV');
    expect(text.endsWith('\n')).toBe(true);
  });
});
