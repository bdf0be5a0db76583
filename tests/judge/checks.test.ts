import {describe, expect, it} from 'vitest';
import {checkSchema, type Measurement} from '../../shared/reading.js';
import {checksFor, judge, passes} from '../../src/judge/judge.js';
import {testRig} from '../light/test-rig.js';
import {
  checkNamed,
  goodMeasurement,
  goodTrail,
  inputOf,
  readingOf,
  rigWith,
  trailWithout,
  withFace,
  withLight,
  withSpill,
  withTrail,
} from './readings.js';

const check = (measurement: Measurement, id: string, more = {}) =>
  checkNamed(checksFor(inputOf(measurement, more)), id);
const room = (ambient: Measurement['ambient']): Measurement => ({...goodMeasurement, ambient});

describe('a frame in which all is well', () => {
  it('passes every check, with the sentences of the screen, and needs no advice', () => {
    const {checks, advice} = judge(inputOf(goodMeasurement));
    expect(Object.fromEntries(checks.map(({id, say}) => [id, say]))).toEqual({
      'flash A': '0.0',
      'flash B': '+0.1',
      'face level': '−0.6 EV',
      'face clipped': 'none',
      'face ratio': 'left of the picture brighter by 1.2 stops',
      sharpness: "96 % of the plate's",
      shift: 'on the mark',
      'face clear': 'clear',
      'head gap': '0.5 heads',
      coverage: '86 %',
      offset: 'round the head',
      'trail clipped': '5 % of the trail is pure white',
      'trail even': '±0.6 EV along its way',
      'spill A': 'A on the right wall −7.0 EV',
      'spill B': 'B on the left wall −6.5 EV',
      room: '−9.0 EV, as on the plate',
    });
    expect(checks.every(({state}) => state === 'ok')).toBe(true);
    expect(passes(checks)).toBe(true);
    expect(advice).toEqual([]);
  });

  it('gives checks that the journal keeps, each with its own id', () => {
    const {checks} = judge(inputOf(goodMeasurement));
    expect(checks.map(each => checkSchema.parse(each))).toEqual(checks);
    expect(new Set(checks.map(({id}) => id)).size).toBe(checks.length);
  });
});

describe('flashes', () => {
  it('that did not fire fail', () => {
    expect(check(withLight('B', false, null), 'flash B')).toMatchObject({
      state: 'fail',
      say: 'did not fire',
      value: null,
    });
  });

  it('that gave twice their light fail, and what that looks like is said', () => {
    expect(check(withLight('B', true, 1), 'flash B')).toMatchObject({
      state: 'fail',
      say: '+1.0: twice the light, as from two pops or one stop more',
    });
  });

  it('that stray by a stop and a half fail, by half a stop are watched, by a quarter are ok', () => {
    expect(check(withLight('A', true, -1.5), 'flash A')).toMatchObject({
      state: 'fail',
      say: '−1.5: 1.5 stops too weak against its plate',
    });
    expect(check(withLight('A', true, 0.5), 'flash A').state).toBe('watch');
    expect(check(withLight('A', true, -0.25), 'flash A').state).toBe('ok');
  });

  it('whose strength could not be told are watched', () => {
    expect(check(withLight('A', true, null), 'flash A').state).toBe('watch');
  });

  it('that the rig has off are not missed, but noticed when they fire', () => {
    const rig = rigWith('B', {on: false});
    expect(checksFor(inputOf(withLight('B', false, null), {rig})).some(({id}) => id === 'flash B')).toBe(false);
    expect(check(withLight('B', true, 0), 'flash B', {rig})).toMatchObject({
      state: 'watch',
      say: 'fired, though the rig has it off',
    });
  });

  it('that went round, were turned or lost their snoot since their plate are not called weak: their plate is old', () => {
    const plates = [{plate: 'light B', rig: testRig, exposure: goodMeasurement.frame.exposure}];
    for (const change of [{angleDegrees: 120}, {aimOffDegrees: 10}, {heightMetres: 2.2}, {snoot: null}]) {
      const input = inputOf(withLight('B', true, -1.6), {plates, rig: rigWith('B', change)});
      const {checks, advice} = judge(input);
      expect(checkNamed(checks, 'flash B')).toMatchObject({
        state: 'watch',
        value: -1.6,
        say: '−1.6; it stands or points otherwise than on its plate',
      });
      expect(advice[0]?.do).toBe('take the plate of light B again when B is where it shall stay');
    }
    const near = inputOf(withLight('B', true, 0.1), {plates, rig: rigWith('B', {angleDegrees: 75})});
    expect(checkNamed(checksFor(near), 'flash B').state).toBe('ok');
  });

  it('that were lowered since their plate are held against what was set, not against the plate', () => {
    const plates = [{plate: 'light B', rig: testRig, exposure: goodMeasurement.frame.exposure}];
    const rig = rigWith('B', {power: 1 / 16});
    expect(check(withLight('B', true, -1.05), 'flash B', {rig, plates})).toMatchObject({state: 'ok', say: '−1.1'});
    expect(check(withLight('B', true, 0), 'flash B', {rig, plates}).state).toBe('fail');
  });

  it('are held against the exposure as well: ISO 50 is one EV less than a plate at ISO 100', () => {
    const plates = [{plate: 'light A', rig: testRig, exposure: goodMeasurement.frame.exposure}];
    const exposure = {shutterSeconds: 8, fNumber: 8, iso: 50};
    expect(check(withLight('A', true, -1), 'flash A', {plates, exposure}).state).toBe('ok');
  });

  it('without a plate are not judged', () => {
    expect(checksFor(inputOf({...goodMeasurement, lights: []})).some(({id}) => id.startsWith('flash'))).toBe(false);
  });
});

describe('the face', () => {
  it('is judged by its level, both ways', () => {
    expect(check(withFace({levelEv: -4}), 'face level')).toMatchObject({state: 'fail', limit: -3});
    expect(check(withFace({levelEv: 2}), 'face level')).toMatchObject({state: 'fail', limit: 1.3});
    expect(check(withFace({levelEv: 1}), 'face level').state).toBe('watch');
  });

  it('may not burn out', () => {
    expect(check(withFace({clippedFraction: 0.06}), 'face clipped')).toMatchObject({
      state: 'fail',
      say: '6.0 % of the face is pure white',
    });
  });

  it('has a ratio whose brighter side is named as the picture shows it', () => {
    expect(check(withFace({leftRightEv: -5}), 'face ratio')).toMatchObject({
      state: 'fail',
      say: 'right of the picture brighter by 5.0 stops',
      value: -5,
    });
  });

  it('is soft when it has lost its sharpness against the plate', () => {
    expect(check(withFace({sharpness: 0.4}), 'sharpness')).toMatchObject({state: 'fail', say: "40 % of the plate's"});
  });

  it("is off the mark towards the sitter's own side: the picture's right is your left", () => {
    expect(check(withFace({shift: {x: 0.05, y: 0}}), 'shift')).toMatchObject({
      state: 'fail',
      say: '5.0 % to your left',
    });
    expect(check(withFace({shift: {x: -0.03, y: 0.01}}), 'shift')).toMatchObject({
      state: 'watch',
      say: '3.0 % to your right, 1.0 % down',
    });
  });

  it('that stands twice fails', () => {
    expect(check(withFace({doubled: true}), 'doubled').state).toBe('fail');
  });

  it('that could not be measured is not judged', () => {
    const ids = checksFor(inputOf({...withFace({levelEv: null}), trail: null})).map(({id}) => id);
    expect(ids).not.toContain('face level');
    expect(ids).not.toContain('coverage');
  });
});

describe('the trail', () => {
  it("that crosses the face fails, and the place is the sitter's own", () => {
    expect(check(withTrail({crossing: 0.021, crossingAt: {x: 0.45, y: 0.5}}), 'face clear')).toMatchObject({
      state: 'fail',
      say: 'the trail crosses your right cheek: 2.1 % of the face',
    });
    expect(check(withTrail({crossing: 0.03, crossingAt: {x: 0.5, y: 0.33}}), 'face clear').say).toContain(
      'your forehead',
    );
    expect(check(withTrail({crossing: 0.03, crossingAt: {x: 0.54, y: 0.58}}), 'face clear').say).toContain(
      'your left jaw',
    );
  });

  it('of less than a hundredth of the face is worth a look, not a failure', () => {
    expect(check(withTrail({crossing: 0.004, crossingAt: null}), 'face clear').state).toBe('watch');
  });

  it('may neither touch the head nor float', () => {
    expect(check(withTrail({headGap: 0.02}), 'head gap').state).toBe('fail');
    expect(check(withTrail({headGap: 0.5}), 'head gap').state).toBe('ok');
    expect(check(withTrail({headGap: 1.1}), 'head gap').state).toBe('watch');
    expect(check(withTrail({headGap: 1.4}), 'head gap').state).toBe('fail');
    expect(check(withTrail({headGap: null}), 'head gap')).toMatchObject({
      state: 'watch',
      say: 'no trail over the head',
    });
  });

  it('is compared with the attempt before', () => {
    const earlier = [{attempt: 6, reading: readingOf(withTrail({headGap: 1.4})), changes: []}];
    expect(check(withTrail({headGap: 1.1}), 'head gap', {earlier})).toMatchObject({
      state: 'watch',
      say: '1.1 heads, was 1.4',
    });
  });

  it('must go round most of the head, and its best coverage is noticed', () => {
    expect(check(withTrail({coverage: 0.5, directions: trailWithout(0, 180)}), 'coverage').state).toBe('fail');
    const earlier = [0.7, 0.6].map((coverage, index) => ({
      attempt: index + 1,
      reading: readingOf(withTrail({coverage})),
      changes: [],
    }));
    expect(check(withTrail({coverage: 0.84}), 'coverage', {earlier}).say).toBe('84 %, best yet');
    expect(check(withTrail({coverage: 0.68}), 'coverage', {earlier}).say).toBe('68 %, was 60 %');
  });

  it('that hangs aside is said in heads, in centimetres and by your own side', () => {
    expect(check(withTrail({offset: {x: 0.8, y: 0}}), 'offset')).toMatchObject({
      state: 'fail',
      say: '0.8 heads to your left (about 18 cm)',
    });
  });

  it('that is pure white fails, and uneven is only ever watched', () => {
    expect(check(withTrail({clippedFraction: 0.5}), 'trail clipped').state).toBe('fail');
    expect(check(withTrail({unevenEv: 9}), 'trail even').state).toBe('watch');
  });

  it('that is not there at all fails the coverage', () => {
    expect(check({...goodMeasurement, trail: null}, 'coverage')).toMatchObject({
      state: 'fail',
      say: 'no trail to be seen',
      value: 0,
    });
  });

  it('that could not be looked for is not judged', () => {
    const unseen = {
      ...goodMeasurement,
      trail: null,
      missing: ['Without the plates the trail cannot be told from the flashes.'],
    };
    expect(checksFor(inputOf(unseen)).some(({id}) => id === 'coverage')).toBe(false);
  });
});

describe('room and spill', () => {
  it('name the light, the wall and the level', () => {
    expect(check(withSpill('B', -4.8), 'spill B')).toMatchObject({
      state: 'fail',
      say: 'B on the left wall −4.8 EV',
      value: -4.8,
      limit: -5,
    });
  });

  it('say where a spill was before', () => {
    const earlier = [{attempt: 7, reading: readingOf(withSpill('B', -4.8)), changes: []}];
    expect(check(withSpill('B', -6.5), 'spill B', {earlier}).say).toBe('B on the left wall −6.5 EV, was −4.8');
  });

  it('hold the room against its level and against its plate', () => {
    expect(check(room({levelEv: -4.2, riseEv: 4.8, side: 'left', kelvin: 2890}), 'room')).toMatchObject({
      state: 'fail',
      say: '−4.2 EV, 4.8 EV over the plate, from the left of the picture, your right, about 2900 K',
    });
  });

  it('fail a room that rose to where it can be seen, though its level alone would pass', () => {
    expect(check(room({levelEv: -7.2, riseEv: 1.8, side: 'right', kelvin: null}), 'room').state).toBe('fail');
  });

  it('only watch a rise that stays black', () => {
    expect(check(room({levelEv: -8.5, riseEv: 1.8, side: 'even', kelvin: null}), 'room')).toMatchObject({
      state: 'watch',
      say: '−8.5 EV, 1.8 EV over the plate, evenly',
    });
  });

  it('do not take a longer exposure for a leak', () => {
    const exposure = {shutterSeconds: 32, fNumber: 8, iso: 100};
    const plates = [{plate: 'dark', rig: testRig, exposure: goodMeasurement.frame.exposure}];
    const seen = room({levelEv: -7, riseEv: 2, side: null, kelvin: null});
    expect(check(seen, 'room', {exposure, plates})).toMatchObject({state: 'ok', say: '−7.0 EV, as on the plate'});
  });

  it('without a dark plate go by the level alone', () => {
    expect(check(room({levelEv: -7, riseEv: null, side: null, kelvin: null}), 'room')).toMatchObject({
      state: 'ok',
      say: '−7.0 EV',
    });
    expect(
      checksFor(inputOf(room({levelEv: null, riseEv: null, side: null, kelvin: null}))).some(({id}) => id === 'room'),
    ).toBe(false);
  });
});

describe('limits of the shoot', () => {
  it('move every verdict', () => {
    expect(check(withSpill('B', -4.8), 'spill B', {limits: {spill: -4}}).state).toBe('ok');
    expect(check(withTrail({...goodTrail, coverage: 0.86}), 'coverage', {limits: {coverage: 0.95}}).state).toBe('fail');
  });
});
