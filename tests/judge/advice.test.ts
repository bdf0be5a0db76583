import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import type {Advice, Measurement} from '../../shared/reading.js';
import {checksFor, judge} from '../../src/judge/judge.js';
import {predictMeasurement} from '../../src/judge/predict.js';
import {flashLevelEv} from '../../src/light/flash.js';
import {testRig} from '../light/test-rig.js';
import {
  checkNamed,
  goodMeasurement,
  inputOf,
  readingOf,
  rigWith,
  trailWithout,
  withFace,
  withLight,
  withSpill,
  withTrail,
} from './readings.js';

const advice = (measurement: Measurement, more = {}): Advice[] => judge(inputOf(measurement, more)).advice;
const first = (measurement: Measurement, more = {}): Advice => {
  const [one] = advice(measurement, more);
  if (!one) throw new Error('no advice was given');
  return one;
};
const exposure = {shutterSeconds: 8, fNumber: 8, iso: 100};

describe('advice on spill', () => {
  it('lowers the light with its computed effect on wall and face, by power', () => {
    expect(first(withSpill('B', -4.8, 1))).toEqual({
      do: 'lower B one stop to 1/16',
      because: 'wall −5.8 EV, face right −1.0 EV; its light is 100 % of that patch on the left wall',
    });
  });

  it('counts on a light darkening only its own part of the patch', () => {
    expect(first(withSpill('B', -4.8, 0.5), {rig: null}).because).not.toContain('−5.8 EV');
  });

  it('does what it says: with the advice taken, the check is ok', () => {
    const spilled = withSpill('B', -4.6, 1);
    const stops = -1;
    expect(first(spilled).do).toBe('lower B one stop to 1/16');
    const rig = rigWith('B', {power: testRig.lights[1]!.power * 2 ** stops});
    const after = predictMeasurement(spilled, {rig: testRig, exposure}, {rig, exposure});
    expect(checkNamed(checksFor(inputOf(after, {rig, plates: []})), 'spill B').state).toBe('ok');
  });

  it('offers to move it nearer at constant light on the face, with the power that this takes', () => {
    const moved = advice(withSpill('B', -4.8, 1)).find(each => each.do.startsWith('move B'));
    expect(moved?.do).toMatch(/^move B from 1\.1 m to 0\.\d+ m and set it to 1\/\d+/);
    expect(moved?.because).toMatch(/^the face stays as it is, wall −5\.\d EV instead of −4\.8 EV$/);
  });

  it('never sends a light nearer than 0.6 m', () => {
    const moves = advice(withSpill('A', -1, 1)).filter(each => each.do.startsWith('move A'));
    for (const {do: what} of moves) expect(Number(/to (0\.\d+) m/.exec(what)![1])).toBeGreaterThanOrEqual(0.6);
  });

  it('stays general without a rig: no powers, no distances', () => {
    for (const {do: what, because} of advice(withSpill('B', -4.8), {rig: null, exposure: null})) {
      expect(`${what} ${because}`).not.toMatch(/1\/\d|\d m\b/);
    }
    expect(first(withSpill('B', -4.8), {rig: null}).do).toBe('lower B one stop');
  });
});

describe('advice on flashes', () => {
  it('asks to wake the one that did not fire before anything else', () => {
    const both = {...withSpill('A', -3), lights: withLight('B', false, null).lights};
    expect(first(both).do).toBe('wake light B and fire it once by hand before the next attempt');
  });

  it('asks for one pop, and names the dial', () => {
    expect(first(withLight('B', true, 1)).do).toBe('fire B once, and see that its dial says 1/8');
    expect(first(withLight('B', true, 1), {rig: rigWith('B', {pops: 2})}).do).toMatch(/^fire B 2 times, no more/);
  });

  it('asks to look at power, distance, gel and snoot of one that strayed', () => {
    expect(first(withLight('B', true, -1.5))).toEqual({
      do: 'see that B stands at 1/8, 1.1 m from the face, its gel and snoot on',
      because: 'B gave 1.5 stops too little against its plate; setting it right: face right +1.5 EV',
    });
  });
});

describe('advice on the trail', () => {
  it("speaks of the sitter's own cheek", () => {
    const {do: what, because} = first(withTrail({crossing: 0.02, crossingAt: {x: 0.45, y: 0.5}}));
    expect(what).toBe("on your right, take the light behind your head or a hand's width farther out");
    expect(because).toBe('the trail crosses your right cheek');
  });

  it('paints higher over the head when it touches, lower when it floats, by so many centimetres', () => {
    expect(first(withTrail({headGap: 0})).do).toMatch(/^paint higher over the head, by about \d+ cm$/);
    expect(first(withTrail({headGap: 1.5}))).toEqual({
      do: 'paint lower over the head, by about 24 cm',
      because: 'the trail floats 1.5 heads over it; that makes it 0.4',
    });
    expect(first(withTrail({headGap: null})).do).toBe('close the trail over your head');
  });

  it.each([
    [350, 130, 'begin lower on your left'],
    [50, 190, 'begin lower on your right'],
    [0, 180, 'begin and end lower, at both shoulders'],
    [200, 340, 'close the trail over your head'],
    [110, 250, 'paint farther round on your right'],
    [290, 70, 'paint farther round on your left'],
  ])('a gap from %d° to %d° (clockwise from the right of the picture): %s', (from, to, what) => {
    const directions = trailWithout(from, to);
    const coverage = directions.filter(Boolean).length / 72;
    expect(first(withTrail({coverage, directions})).do).toBe(what);
  });

  it('says what closing the gap would give', () => {
    const {because} = first(withTrail({coverage: 0.55, directions: trailWithout(350, 130)}));
    expect(because).toBe('nothing low on your left over 140°; closing it brings the coverage from 55 % to 94 %');
  });

  it('moves a trail that hangs aside back, the other way', () => {
    expect(first(withTrail({offset: {x: 0.8, y: 0}})).do).toBe('paint 18 cm farther to your right');
    expect(first(withTrail({offset: {x: -0.8, y: 0}})).do).toBe('paint 18 cm farther to your left');
  });

  it('dims a burnt trail, with the level that this gives', () => {
    expect(first(withTrail({clippedFraction: 0.6})).because).toContain('trail 0.4 EV instead of 1.4 EV');
  });

  it('asks for the light itself where there is no trail', () => {
    expect(first({...goodMeasurement, trail: null}).do).toContain('see that the painting light is on');
  });
});

describe('advice on the room', () => {
  it('speaks of the room alone where its light drowns the flashes', () => {
    const lit = {...withLight('A', true, 3.7), ambient: {levelEv: 0, riseEv: 9, side: 'even' as const, kelvin: 2750}};
    const flash = checkNamed(checksFor(inputOf(lit)), 'flash A');
    expect(flash).toMatchObject({state: 'watch', say: 'can’t be told well beside the room’s light'});
    expect(first(lit).do).toMatch(/^look for a light/);
    expect(advice(lit).filter(({do: what}) => /^lower A|hold still|^lower the flash/.test(what))).toEqual([]);
    // In a dark room the same flash is trouble, and said to be.
    expect(checkNamed(checksFor(inputOf(withLight('A', true, 3.7))), 'flash A').state).toBe('fail');
  });

  it('looks for the leak first, on the side where it comes from, as the sitter knows it', () => {
    const leak = {...goodMeasurement, ambient: {levelEv: -4.2, riseEv: 4.8, side: 'left' as const, kelvin: 2890}};
    const [look, shorter] = advice(leak);
    expect(look!.do).toBe(
      'look for a light that was not there for the dark plate, from the left of the picture, your right',
    );
    expect(look!.because).toContain('about 2900 K: a lamp or a pilot light; without it the room is at −9.0 EV');
    expect(shorter!.do).toMatch(/^expose \d(\.\d)? s instead of 8 s$/);
  });

  it('gives the room less time where it is simply too bright, and says what that gives', () => {
    const bright = {...goodMeasurement, ambient: {levelEv: -5.6, riseEv: null, side: null, kelvin: null}};
    expect(first(bright)).toEqual({
      do: 'expose 4 s instead of 8 s',
      because: 'the room falls to −6.6 EV; flashes and trail stay as they are, with less time to paint',
    });
  });

  it('keeps three seconds to paint in', () => {
    const day = {...goodMeasurement, ambient: {levelEv: 0, riseEv: null, side: null, kelvin: null}};
    expect(first(day).do).toBe('expose 3.2 s instead of 8 s');
  });
});

describe('advice on the face', () => {
  it('raises the strongest light by what moves the whole face, or all of them where one has not enough', () => {
    expect(first(withFace({levelEv: -4})).do).toBe('raise every flash two stops');
    const weak = rigWith('B', {power: 1 / 128});
    expect(first(withFace({levelEv: -2.6}), {rig: weak}).do).toMatch(/^raise A .* to 1\/\d/);
  });

  it('opens the aperture where no flash has more to give', () => {
    const full = {...testRig, lights: testRig.lights.map(light => ({...light, power: 1, distanceMetres: 0.7}))};
    expect(first(withFace({levelEv: -4}), {rig: full}).do).toBe('open the aperture two stops');
  });

  it('lowers the light that burns', () => {
    expect(first(withFace({clippedFraction: 0.06})).do).toBe('lower A one stop to 1/8');
  });

  it('raises the weaker side for a ratio that is too hard', () => {
    expect(first(withFace({leftRightEv: 5.5}))).toEqual({
      do: 'raise B two stops to 1/2',
      because: 'the halves differ too much: left of the picture brighter by 5.5 stops; face right +2.0 EV',
    });
  });

  it("sends the sitter back to the mark, by the sitter's own side and in centimetres", () => {
    // 5 % of a frame that is 1.44 m wide at the mark (36/50 of 2 m).
    expect(first(withFace({shift: {x: 0.05, y: 0}})).do).toBe('stand 7.2 cm to your right');
    expect(first(withFace({shift: {x: -0.05, y: 0}})).do).toBe('stand 7.2 cm to your left');
    expect(first(withFace({shift: {x: 0.05, y: 0}}), {rig: null}).do).toBe('stand a little to your right');
  });
});

describe('what the last change did', () => {
  const before = [{attempt: 7, reading: readingOf(withSpill('B', -4.8)), changes: []}];

  it('is told and kept when it helped', () => {
    const told = advice(withSpill('B', -6.5), {earlier: before, changes: ['B moved 1.2 → 0.9 m']});
    expect(told).toEqual([{do: 'keep the last change', because: 'B moved 1.2 → 0.9 m: spill B −1.7 EV, better'}]);
  });

  it('is taken back first when it made something fail', () => {
    const told = first(withSpill('B', -3.5), {earlier: before, changes: ['B moved 0.9 → 1.2 m']});
    expect(told).toEqual({do: 'take the last change back', because: 'B moved 0.9 → 1.2 m: spill B +1.3 EV, worse'});
  });

  it('is not blamed for the trail, which is painted anew every time', () => {
    const worse = withTrail({coverage: 0.5, directions: trailWithout(0, 180)});
    const told = advice(worse, {
      earlier: before.map(each => ({...each, reading: readingOf(goodMeasurement)})),
      changes: ['B moved 1.2 → 0.9 m'],
    });
    expect(told.some(each => each.do === 'take the last change back')).toBe(false);
  });
});

describe('advice as a whole', () => {
  it('puts what failed before what is to be watched', () => {
    const both = {...withTrail({headGap: 1.1}), spill: withSpill('B', -4.5).spill};
    expect(first(both).do).toContain('B');
  });

  const level = fc.option(fc.double({min: -14, max: 6, noNaN: true}), {nil: null});
  const fraction = fc.double({min: 0, max: 1, noNaN: true});
  const point = fc.record({
    x: fc.double({min: -0.5, max: 1.5, noNaN: true}),
    y: fc.double({min: -0.5, max: 1.5, noNaN: true}),
  });
  const measurements = fc.record({
    lights: fc.uniqueArray(fc.record({id: fc.constantFrom('A', 'B', 'C'), fired: fc.boolean(), ev: level}), {
      selector: light => light.id,
    }),
    ambient: fc.record({
      levelEv: level,
      riseEv: level,
      side: fc.constantFrom('left', 'right', 'top', 'bottom', 'even', null),
      kelvin: fc.option(fc.double({min: 1500, max: 20_000, noNaN: true}), {nil: null}),
    }),
    spill: fc.uniqueArray(
      fc.record({
        light: fc.constantFrom('A', 'B', 'C'),
        levelEv: fc.double({min: -14, max: 2, noNaN: true}),
        at: point,
        share: fraction,
      }),
      {selector: patch => patch.light},
    ),
    face: fc.record({
      levelEv: level,
      clippedFraction: fraction,
      leftRightEv: level,
      sharpness: fc.option(fraction, {nil: null}),
      shift: point,
      doubled: fc.boolean(),
    }),
    trail: fc.option(
      fc.record({
        coverage: fraction,
        crossing: fraction,
        headGap: fc.option(fc.double({min: -1, max: 4, noNaN: true}), {nil: null}),
        offset: point,
        clippedFraction: fraction,
        crossingAt: fc.option(point, {nil: null}),
        levelEv: level,
        unevenEv: fc.option(fraction, {nil: null}),
        directions: fc.array(fc.boolean(), {minLength: 72, maxLength: 72}),
      }),
      {nil: null},
    ),
  });

  it('speaks in whole, plain words of one change at a time, whatever was measured', () => {
    fc.assert(
      fc.property(measurements, fc.boolean(), (parts, withRig) => {
        const measurement: Measurement = {...goodMeasurement, ...parts};
        const {checks, advice: given} = judge(
          inputOf(measurement, withRig ? {} : {rig: null, exposure: null, zones: null}),
        );
        expect(given.length).toBeLessThanOrEqual(6);
        if (checks.some(({state}) => state === 'fail')) expect(given.length).toBeGreaterThan(0);
        for (const text of [...checks.map(({say}) => say), ...given.flatMap(each => [each.do, each.because])]) {
          expect(text).not.toMatch(/NaN|undefined|null|Infinity|∞|-\d/);
          expect(text).not.toBe('');
        }
      }),
      {numRuns: 300},
    );
  });

  it('changes nothing on the face when it moves a light at constant light', () => {
    const told = advice(withSpill('B', -4.8, 1)).find(each => each.do.startsWith('move B'))!;
    const metres = Number(/to ([\d.]+) m/.exec(told.do)![1]);
    const [whole, third] = /set it to 1\/(\d+)(?: \+(0\.[37]))?/.exec(told.do)!.slice(1);
    const power = 2 ** (third === '0.3' ? 1 / 3 : third === '0.7' ? 2 / 3 : 0) / Number(whole);
    const light = testRig.lights[1]!;
    const change = flashLevelEv({...light, distanceMetres: metres, power}, exposure) - flashLevelEv(light, exposure);
    // The dial's steps are a third of a stop: half a step is left at most.
    expect(Math.abs(change)).toBeLessThanOrEqual(1 / 6 + 1e-9);
  });
});
