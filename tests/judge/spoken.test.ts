import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import type {Measurement} from '../../shared/reading.js';
import {judge} from '../../src/judge/judge.js';
import {spokenVerdict} from '../../src/judge/spoken.js';
import {goodMeasurement, inputOf, trailWithout, withFace, withLight, withSpill, withTrail} from './readings.js';

const spoken = (measurement: Measurement): string => {
  const {checks, advice} = judge(inputOf(measurement));
  return spokenVerdict(checks, advice);
};

describe('the verdict as it is heard on the mark', () => {
  it.each<[Measurement, string]>([
    [goodMeasurement, 'All well.'],
    [
      withLight('B', false, null),
      'Light B did not fire. Wake light B and fire it once by hand before the next attempt.',
    ],
    [withLight('B', true, 1), 'Light B is too strong. Fire B once, and see that its dial says one eighth.'],
    [withSpill('B', -4.8), 'Light B spills on the wall. Lower B one stop to one sixteenth.'],
    [
      withTrail({crossing: 0.02, crossingAt: {x: 0.45, y: 0.5}}),
      "The trail crosses the face. On your right, take the light behind your head or a hand's width farther out.",
    ],
    [
      withTrail({headGap: 1.5}),
      'The trail is too high over the head. Paint lower over the head, by about 24 centimetres.',
    ],
    [
      withTrail({coverage: 0.55, directions: trailWithout(350, 130)}),
      'The trail does not reach round the head. Begin lower on your left.',
    ],
    [
      {...goodMeasurement, trail: null},
      'There is no trail. See that the painting light is on, and that it faces the camera while you paint.',
    ],
    [withFace({levelEv: -4}), 'The face is too dark. Raise every flash two stops.'],
    [
      withTrail({headGap: 1.1}),
      'Good, but the trail is too high over the head. Paint lower over the head, by about 15 centimetres.',
    ],
  ])('%#', (measurement, words) => {
    expect(spoken(measurement)).toBe(words);
  });

  it('says how many other things failed', () => {
    expect(spoken({...withSpill('B', -4), lights: withLight('A', false, null).lights})).toMatch(
      /^Light A did not fire, and 1 more thing\. /,
    );
  });

  it('speaks of the matter that its advice is about, not of the first in the list', () => {
    const ambient = {levelEv: -4, riseEv: 5, side: 'left' as const, kelvin: null};
    expect(spoken({...withTrail({coverage: 0.4, directions: trailWithout(0, 216)}), ambient})).toBe(
      'The room is too bright, and 1 more thing. Look for a light that was not there for the dark plate, from the left of the picture, your right.',
    );
  });

  it('tells too near from too high by the limits of the shoot', () => {
    const {checks, advice} = judge(inputOf(withTrail({headGap: 0.25}), {limits: {'head gap most': 0.2}}));
    expect(spokenVerdict(checks, advice)).toContain('too high over the head');
    expect(spoken(withTrail({headGap: 0.01}))).toContain('too near the head');
    expect(spoken(withFace({levelEv: 2}))).toContain('too bright');
  });

  it('says that nothing could be checked', () => {
    expect(spokenVerdict([], [])).toBe('The frame is here. Nothing could be checked.');
  });

  it('holds no sign that a voice would stumble over, whatever the advice', () => {
    const {checks} = judge(inputOf(withSpill('B', -4)));
    const amounts = fc.constantFrom(
      '−4.8 EV',
      '1/16 +0.3',
      '1⅓ stops',
      '30°',
      '84 %',
      '12 cm',
      '0.9 m',
      '3.2 s',
      '1/100',
      '+0.3',
      '1.2 → 0.9',
    );
    fc.assert(
      fc.property(amounts, amounts, (a, b) => {
        const text = spokenVerdict(checks, [{do: `set ${a} and ${b}`, because: ''}]);
        expect(text).not.toMatch(/[−+%°→⅓⅔/±]/);
        expect(text).not.toMatch(/\b(EV|cm|m|s)\b/);
      }),
    );
  });
});
