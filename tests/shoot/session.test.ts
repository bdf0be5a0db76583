import {writeFile} from 'node:fs/promises';
import {homedir} from 'node:os';
import path from 'node:path';
import {describe, expect, it} from 'vitest';
import {CameraFault} from '../../shared/camera.js';
import {demoRig} from '../../shared/rig.js';
import {readShoot} from '../../src/shoot/open-shoot.js';
import type {Intent} from '../../src/shoot/state.js';
import type {FakeWorld} from './fakes.js';

import {begin, readyWorld, resting, world} from './worlds.js';

describe('a newcomer with no key but "go on"', () => {
  it('gets from an empty folder through plan, plates and face to the first verdict', async () => {
    const {session, until, camera, room} = await world({camera: {status: {focusMode: 'auto', focusLocked: false}}});
    await until(state => state.camera.kind === 'connected');
    const steps: string[] = [];
    const asks = new Set(['resting', 'preflight']);
    for (let pressed = 0; pressed < 12; pressed++) {
      const state = await until(({activity, next}) => asks.has(activity.kind) && next.say !== '');
      if (state.next.say === 'attempt 2') break;
      steps.push(`${state.next.place}: ${state.next.say}`);
      session.send({kind: 'go on'});
      await until(now => now.next.say !== state.next.say);
    }

    expect(steps).toEqual([
      'plan: agree to 8 s f/8 ISO 100',
      'plates: focus on the mark and lock',
      'plates: take the dark plate',
      'plates: take the light A plate',
      'plates: take the light B plate',
      'plates: take the sitter plate',
      'plates: agree to the face',
      'attempt: attempt 1',
      'attempt: all of this is so: begin attempt 1',
    ]);
    expect(camera.exposures).toEqual([8, 8, 8, 8, 8]);
    expect(room!.arranged.map(({firing, sitter, painting}) => ({firing, sitter, painting}))).toEqual([
      {firing: [], sitter: false, painting: false},
      {firing: ['A'], sitter: true, painting: false},
      {firing: ['B'], sitter: true, painting: false},
      {firing: ['A', 'B'], sitter: true, painting: false},
      {firing: ['A', 'B'], sitter: true, painting: true},
    ]);
    expect(session.state().shoot.plates.map(({files}) => files[0]?.path)).toEqual([
      'plates/dark.jpg',
      'plates/light-A.jpg',
      'plates/light-B.jpg',
      'plates/sitter.jpg',
    ]);
  });

  describe('whose camera focuses by itself and can’t be told to', () => {
    const can = {setExposure: true, openShutter: true, focusDrive: false, probe: true};
    const lockAsked = async (): Promise<FakeWorld> => {
      const made = await world({
        realRoom: true,
        camera: {status: {focusMode: 'auto', focusLocked: false, can}},
      });
      await made.until(state => state.camera.kind === 'connected');
      made.session.send({kind: 'go on'});
      await made.until(({next}) => next.say === 'lock the focus on the camera');
      return made;
    };

    it('has the focus locked as it is', async () => {
      const {session, until} = await lockAsked();
      session.send({kind: 'go on'});
      const {shoot, message, next} = await until(state => state.message !== null);
      expect(next.say).toBe('take the dark plate');
      expect(shoot.focusLocked).toBe('by the camera');
      expect(message).toEqual({say: 'The focus is locked.', trouble: false});
    });

    it('is told to switch it where the camera does not do that either', async () => {
      const {session, until, camera} = await lockAsked();
      camera.focus = async () => {
        throw new CameraFault('unable', 'No.');
      };
      session.send({kind: 'go on'});
      const {message} = await until(state => state.message?.trouble === true);
      expect(message?.say).toBe('The camera still focuses by itself; switch its focus to manual.');
    });
  });

  it('is told what to switch before every plate in a real room', async () => {
    const {session, until} = await world({realRoom: true});
    await until(state => state.camera.kind === 'connected');
    session.send({kind: 'go on'});
    const {next} = await until(state => state.next.say === 'take the dark plate');
    expect(next.how).toBe('Nobody on the mark, flashes and painting light off, room light off.');
  });
});

describe('stop', () => {
  it.each(['countdown', 'open', 'pulling', 'measuring'] as const)(
    'while %s ends the attempt safely and the session rests',
    async kind => {
      const made = await readyWorld();
      const {session, until, measurer} = made;
      if (kind === 'measuring') measurer.measure = () => new Promise(() => undefined);
      const off = session.subscribe(() => {
        const {activity} = session.state();
        if (activity.kind !== kind || (activity.kind === 'pulling' && activity.bytes === 0)) return;
        off();
        session.send({kind: 'stop'});
      });
      await begin(made);
      const {shoot, message} = await until(state => resting(state) && state.shoot.attempts[0]?.stage === 'stopped');
      expect(message?.say).toMatch(/^Attempt 1 was stopped in the /);
      expect(message?.trouble).toBe(false);
      expect((await readShoot(made.folder)).shoot.attempts[0]).toMatchObject({stage: shoot.attempts[0]!.stage});
    },
    20_000,
  );

  it('puts the preflight away, and does nothing at rest', async () => {
    const {session, until} = await readyWorld();
    session.send({kind: 'begin attempt'});
    await until(({activity}) => activity.kind === 'preflight');
    session.send({kind: 'stop'});
    expect(session.state().activity.kind).toBe('resting');
    session.send({kind: 'stop'});
    expect(session.state()).toMatchObject({activity: {kind: 'resting'}, shoot: {attempts: []}});
  });
});

describe('the preflight', () => {
  it('follows the camera while it is shown, and lets nothing begin that is not ready', async () => {
    const {session, until, camera} = await readyWorld();
    session.send({kind: 'begin attempt'});
    await until(({activity}) => activity.kind === 'preflight' && activity.ready);
    camera.change({batteryPercent: 2});
    await until(({activity}) => activity.kind === 'preflight' && !activity.ready);
    session.send({kind: 'go on'});
    await until(({next}) => next.say === 'look again');
    expect(session.state().shoot.attempts).toEqual([]);
    camera.change({batteryPercent: 90});
    await until(({activity}) => activity.kind === 'preflight' && activity.ready);
  });

  it('sets the camera to the plan where it can', async () => {
    const {session, until, camera} = await readyWorld();
    camera.change({exposure: {shutterSeconds: 1, fNumber: 4, iso: 800}});
    session.send({kind: 'begin attempt'});
    await until(({activity}) => activity.kind === 'preflight' && activity.ready);
    expect((await camera.status()).exposure).toEqual({shutterSeconds: 8, fNumber: 8, iso: 100});
  });

  it('writes into the journal what the sitter answered for', async () => {
    const made = await readyWorld();
    await begin(made);
    const {shoot} = await made.until(state => resting(state) && state.shoot.attempts[0]?.stage === 'measured');
    expect(shoot.attempts[0]!.told).toContain('Nobody here is sensitive to flashing light.');
    expect(shoot.attempts[0]!.told).toContain('Cords lie clear of your feet, and none near your neck.');
  });
});

describe('a series', () => {
  const series = (change: object = {}): Intent => ({
    kind: 'begin series',
    count: 3,
    pauseSeconds: 20,
    untilPassed: false,
    ...change,
  });

  it('makes n attempts with a pause between and a spoken verdict after each, without another preflight', async () => {
    const made = await readyWorld();
    const kinds: string[] = [];
    made.session.subscribe(() => {
      const {kind} = made.session.state().activity;
      if (kinds.at(-1) !== kind) kinds.push(kind);
    });
    await begin(made, series());
    const {shoot} = await made.until(state => resting(state) && state.shoot.attempts.length === 3);
    expect(shoot.attempts.every(attempt => attempt.series && attempt.stage === 'measured')).toBe(true);
    expect(made.sound.said).toHaveLength(3);
    expect(kinds.filter(kind => ['preflight', 'between', 'speaking'].includes(kind))).toEqual([
      'preflight',
      'speaking',
      'between',
      'speaking',
      'between',
      'speaking',
    ]);
  });

  it('ends with the first frame that passes every check, where asked', async () => {
    const made = await readyWorld();
    made.measurer.answers.push({}, {spill: []});
    await begin(made, series({count: 9, untilPassed: true}));
    const {shoot, message} = await made.until(state => resting(state) && state.shoot.attempts.length > 0);
    expect(shoot.attempts).toHaveLength(2);
    expect(message?.say).toBe('Attempt 2 passes every check; the series ends here.');
  });

  it('goes on at once when told to in its pause, and ends when stopped there', async () => {
    const made = await readyWorld();
    await begin(made, series({pauseSeconds: 3600}));
    await made.until(({activity}) => activity.kind === 'between');
    made.session.send({kind: 'go on'});
    await made.until(({activity, shoot}) => activity.kind === 'between' && shoot.attempts.length === 2);
    made.session.send({kind: 'stop'});
    const {shoot} = await made.until(resting);
    expect(shoot.attempts.map(({stage}) => stage)).toEqual(['measured', 'measured']);
  });

  it('ends with an attempt that was stopped', async () => {
    const made = await readyWorld();
    made.camera.failNext('expose', new CameraFault('broken', 'The shutter is stuck; look at the camera.'));
    await begin(made, series());
    const {shoot, message} = await made.until(state => resting(state) && state.shoot.attempts.length === 1);
    expect(shoot.attempts[0]!.stage).toBe('stopped');
    expect(message).toEqual({
      say: 'Attempt 1 was stopped in the exposure: The shutter is stuck; look at the camera.',
      trouble: true,
    });
  });

  it('reminds of hot flashes after many full pops', async () => {
    const made = await readyWorld();
    const lights = demoRig.lights.map(light => ({...light, power: 1, pops: 10}));
    made.session.send({kind: 'set rig', rig: {...demoRig, lights}});
    await begin(made, series());
    await made.until(state => resting(state) && state.shoot.attempts.length === 3);
    expect(made.sound.said.map(said => said.endsWith('Let the flashes rest.'))).toEqual([false, true, true]);
  });
});

describe('a word that cannot be done', () => {
  const cases: [string, Intent, RegExp][] = [
    ['an exposure outside what is possible', {kind: 'set exposure', change: {iso: -5}}, /^That exposure is outside/],
    [
      'a rig that is none',
      {kind: 'set rig', rig: {...demoRig, lights: [{...demoRig.lights[0]!, power: 2}]}},
      /^The rig is outside/,
    ],
    [
      'cues faster than three flashes a second',
      {
        kind: 'set cues',
        cues: {
          countdownSeconds: 10,
          cues: [2, 2.2].map(atSeconds => ({name: 'flash' as const, atSeconds, sound: 'tone' as const})),
        },
      },
      /more than three flashes a second/,
    ],
    [
      'a cue before the countdown',
      {kind: 'set cues', cues: {countdownSeconds: 2, cues: [{name: 'lights out', atSeconds: -5, sound: 'tone'}]}},
      /comes before the countdown/,
    ],
    ['a mark on no attempt', {kind: 'mark', attempt: 7, mark: 'keep'}, /^There is no attempt 7\.$/],
    [
      'a series of none',
      {kind: 'begin series', count: 0, pauseSeconds: 1, untilPassed: false},
      /^A series has 1 to 999 attempts\.$/,
    ],
    ['a wrap of nothing', {kind: 'wrap'}, /^No attempt with a frame is marked keep: mark one first/],
    [
      'a face that is none',
      {kind: 'set zones', zones: {face: {cx: 0.5, cy: 0.5, rx: Number.NaN, ry: 1}}},
      /^The face ellipse is outside/,
    ],
    ['a room of no number', {kind: 'set room level', roomEv100: Number.NaN, how: 'x'}, /^A room has between/],
  ];
  it.each(cases)('is a message and changes nothing: %s', async (_, intent, said) => {
    const {session, until} = await readyWorld();
    const {shoot} = session.state();
    session.send(intent);
    const {message} = await until(state => state.message?.trouble === true);
    expect(message!.say).toMatch(said);
    expect(session.state().shoot).toEqual(shoot);
    expect(resting(session.state())).toBe(true);
  });

  it('is refused with the camera’s own sentence when the camera refuses a value, and is not written down', async () => {
    const {session, until, camera} = await readyWorld();
    camera.failNext('set', new CameraFault('refused', 'The camera has no ISO 51.'));
    session.send({kind: 'set exposure', change: {iso: 51}});
    const {message, shoot} = await until(state => state.message !== null);
    expect(message).toEqual({say: 'The camera has no ISO 51.', trouble: true});
    expect(shoot.exposure.iso).toBe(100);
  });

  it('to change the exposure while the shutter is open waits for nobody: it is refused', async () => {
    const made = await readyWorld();
    await begin(made);
    await made.until(({activity}) => activity.kind === 'open');
    made.session.send({kind: 'set exposure', change: {iso: 200}});
    await made.until(state => state.message?.say.startsWith('The exposure can be changed when') ?? false);
  });
});

describe('what is said about an attempt', () => {
  it('is kept: mark, note, and measuring again with other limits', async () => {
    const made = await readyWorld();
    await begin(made);
    await made.until(state => resting(state) && state.shoot.attempts[0]?.stage === 'measured');
    made.session.send({kind: 'mark', attempt: 1, mark: 'keep'});
    made.session.send({kind: 'note', attempt: 1, text: '  the wand\u001b[31m too low '});
    made.measurer.answers.push({
      face: {levelEv: 1, clippedFraction: 0, leftRightEv: 0, sharpness: 1, shift: {x: 0, y: 0}, doubled: false},
    });
    made.session.send({kind: 'measure again', attempt: 1});
    await made.until(state => resting(state) && state.shoot.attempts[0]?.reading?.face.levelEv === 1);
    const {shoot} = await readShoot(made.folder);
    expect(shoot.attempts[0]).toMatchObject({mark: 'keep', notes: ['the wand [31m too low']});
  });

  it('hands the kept files off through the wrap that it is given', async () => {
    const made = await readyWorld();
    await begin(made);
    await made.until(state => resting(state) && state.shoot.attempts[0]?.stage === 'measured');
    made.session.send({kind: 'mark', attempt: 1, mark: 'keep'});
    made.session.send({kind: 'plan wrap', folder: '~/drive', maybeToo: false});
    await made.until(state => state.wrapPlan?.destination === path.join(homedir(), 'drive'));
    made.session.send({kind: 'plan wrap', folder: '/media/drive', maybeToo: false});
    const {wrapPlan} = await made.until(state => state.wrapPlan?.destination === '/media/drive');
    expect(wrapPlan).toEqual({
      files: ['window-light-001.jpg'],
      folder: '/media/drive/window-light-wrap',
      destination: '/media/drive',
      bytes: 4096,
    });
    made.session.send({kind: 'go on'});
    const {shoot, message} = await made.until(state => resting(state) && state.shoot.wraps.length === 1);
    expect(shoot.wraps[0]).toMatchObject({
      folder: '/media/drive/window-light-wrap',
      files: [{path: 'attempts/001/DSC_0001.JPG'}],
    });
    expect(message?.say).toBe('1 file handed off and checked, in /media/drive/window-light-wrap');
  });
});

describe('plates', () => {
  it('that are taken again keep the one before aside', async () => {
    const made = await readyWorld();
    for (let taken = 1; taken <= 2; taken++) {
      made.session.send({kind: 'take plate', plate: 'dark'});
      await made.until(
        state => resting(state) && made.camera.card.size === taken && state.message?.say === 'The dark plate is taken.',
      );
    }
    const {shoot} = made.session.state();
    expect(shoot.plates).toHaveLength(1);
    expect(shoot.plates[0]!.files[0]).toMatchObject({path: 'plates/dark.jpg', nameOnCamera: 'DSC_0002.JPG'});
    expect(made.measurer.platesFolder).toBe(path.join(made.folder, 'plates'));
  });

  it('whose file is gone or changed are asked for again', async () => {
    const made = await readyWorld();
    made.session.send({kind: 'take plate', plate: 'dark'});
    await made.until(state => state.shoot.plates.length === 1 && resting(state));
    await made.session.close();
    await writeFile(path.join(made.folder, 'plates/dark.jpg'), 'cut');
    const again = await world({folder: path.dirname(made.folder)});
    expect(again.session.state().shoot.plates).toEqual([]);
    expect(again.session.state().message?.say).toBe("The dark plate's file is missing or changed; take it again.");
  });

  it('measure the room by a probe, for the plan', async () => {
    const made = await readyWorld();
    made.session.send({kind: 'probe the room'});
    // 8 s f/8 ISO 100 is EV100 3 (references, section 1), so a wall at −9 EV would mean a room of −6; of
    // 2^−9 the share that is the file's own rounding (half of 2^−10.21) is taken off: −9.35 and −6.35.
    const {shoot} = await made.until(state => resting(state) && state.shoot.roomEv100 !== null);
    expect(shoot.roomEv100).toBeCloseTo(-6.35, 2);
    expect(made.camera.exposures).toEqual([0.25]);
  });
});

describe('a room check', () => {
  it('is switched on and off, and holds until "go on"', async () => {
    const made = await readyWorld();
    made.session.send({kind: 'set room check', on: true});
    await begin(made);
    const held = await made.until(({activity}) => activity.kind === 'room check' && activity.holding);
    expect(held.next.say).toBe('open the shutter');
    made.session.send({kind: 'go on'});
    await made.until(state => resting(state) && state.shoot.attempts[0]?.stage === 'measured');
    expect(made.camera.exposures).toEqual([0.25, 8]);
    // The room was dark: the next attempt needs no probe.
    expect(made.session.state().roomCheck).toBe(false);
    await begin(made);
    await made.until(state => resting(state) && state.shoot.attempts[1]?.stage === 'measured');
    expect(made.camera.exposures).toEqual([0.25, 8, 8]);
  });
});
