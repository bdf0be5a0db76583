import {describe, expect, it} from 'vitest';
import type {CameraStatus} from '../../shared/camera.js';
import type {JournalEntry, JournalEvent} from '../../shared/journal.js';
import {demoRig} from '../../shared/rig.js';
import {cueTrouble, flashOutsideExposure} from '../../src/shoot/cue-rules.js';
import {expectedBytes} from '../../src/shoot/expected-bytes.js';
import {foldShoot} from '../../src/shoot/fold.js';
import {heatWords} from '../../src/shoot/heat.js';
import {gate, isReady, type PreflightFacts, PreflightFault, preflight} from '../../src/shoot/preflight.js';
import type {PreflightItem, Shoot} from '../../src/shoot/state.js';
import {fileOf, goodReading, shortEvening, wholeAttempt} from './entries.js';

const at = '2026-11-25T20:00:00.000Z';
const fold = (events: JournalEvent[]): Shoot => foldShoot(events.map(event => ({v: 1, at, ...event}) as JournalEntry));
const exposure = {shutterSeconds: 8, fNumber: 8, iso: 100};
const plates = (['dark', 'light A', 'light B', 'sitter'] as const).map(
  (plate): JournalEvent => ({
    kind: 'plate-taken',
    plate,
    exposure,
    files: [fileOf(`plates/${plate.replace(' ', '-')}.jpg`)],
  }),
);
const ready = [
  ...shortEvening(0).slice(0, 5),
  ...plates,
  {kind: 'room-level-set', roomEv100: -4, how: 'meter'} as const,
];

const status: CameraStatus = {
  exposure,
  focusMode: 'manual',
  focusLocked: true,
  format: 'raw+jpeg',
  batteryPercent: 80,
  freeBytes: 1e10,
  freeFrames: 300,
  clockDifferenceSeconds: 2,
  can: {setExposure: true, openShutter: true, focusDrive: true, probe: true},
  notes: [],
};
const facts = (change: Partial<CameraStatus> = {}, more: Partial<PreflightFacts> = {}): PreflightFacts => ({
  shoot: fold(ready),
  camera: {
    kind: 'connected',
    identity: {kind: 'studio', maker: '', model: '', serial: '', port: ''},
    status: {...status, ...change},
  },
  freeDiskBytes: 5e11,
  told: new Set(),
  nowMs: Date.parse(at),
  ...more,
});
const item = (given: PreflightFacts, id: string): PreflightItem | undefined =>
  preflight(given).find(found => found.id === id);

describe('the preflight, watched', () => {
  it('is ready when everything is as planned', () => {
    const items = preflight(facts());
    expect(items.filter(({by, state}) => by === 'watched' && state !== 'ok')).toEqual([]);
    expect(isReady(items)).toBe(true);
  });

  const cases: [string, string, PreflightItem['state'], PreflightFacts, RegExp][] = [
    [
      'no camera',
      'camera',
      'fail',
      facts({}, {camera: {kind: 'lost', identity: null, say: 'Plug it in.'}}),
      /^No camera is connected\.$/,
    ],
    [
      'a camera that only drops files',
      'camera',
      'watch',
      facts({can: {...status.can, openShutter: false}}),
      /by its files only/,
    ],
    [
      'another exposure',
      'exposure',
      'fail',
      facts({exposure: {...exposure, iso: 400}}),
      /^The camera is at 8 s f\/8 ISO 400, planned is 8 s f\/8 ISO 100\.$/,
    ],
    [
      'an exposure that is marked a little differently',
      'exposure',
      'ok',
      facts({exposure: {...exposure, shutterSeconds: 7.8}}),
      /as planned/,
    ],
    ['a camera that tells no exposure', 'exposure', 'watch', facts({exposure: null}), /does not tell its own/],
    ['automatic focus', 'focus', 'fail', facts({focusMode: 'auto', focusLocked: false}), /^The focus is automatic\.$/],
    ['an untold focus', 'focus', 'watch', facts({focusMode: 'unknown', focusLocked: false}), /does not tell its focus/],
    ['RAW alone', 'format', 'watch', facts({format: 'raw'}), /^It writes no JPEG\.$/],
    ['a low battery', 'battery', 'watch', facts({batteryPercent: 15}), /^Battery 15 %\.$/],
    ['an empty battery', 'battery', 'fail', facts({batteryPercent: 3}), /^Battery 3 %\.$/],
    ['a card that is nearly full', 'card', 'watch', facts({freeFrames: 5}), /^Room for 5 more on the card\.$/],
    ['a full card', 'card', 'fail', facts({freeFrames: 0}), /^The card is full\.$/],
    [
      'a disk without room for the expected files',
      'disk',
      'fail',
      facts({}, {freeDiskBytes: 60_000_000}),
      /^60 MB free on the disk, about 45 MB an attempt\.$/,
    ],
    ['a disk that will be full soon', 'disk', 'watch', facts({}, {freeDiskBytes: 400_000_000}), /^400 MB free/],
    [
      'a camera clock that is off',
      'clock',
      'watch',
      facts({clockDifferenceSeconds: -3600}),
      /^The camera's clock is 60 min behind/,
    ],
    [
      'missing plates',
      'plates',
      'watch',
      facts({}, {shoot: fold(ready.filter(event => !('plate' in event && event.plate === 'light B')))}),
      /^No plate yet: light B\.$/,
    ],
    [
      'plates of another exposure',
      'plates',
      'watch',
      facts(
        {exposure: {...exposure, iso: 50}},
        {shoot: fold([...ready, {kind: 'exposure-set', exposure: {...exposure, iso: 50}}])},
      ),
      /^The dark plate has another exposure\.$/,
    ],
    ['no face', 'face', 'watch', facts({}, {shoot: fold(plates)}), /^The face is not marked\.$/],
    ['an unmeasured room', 'room', 'watch', facts({}, {shoot: fold(plates)}), /^The room was not measured\.$/],
    [
      'a room that was brighter than planned',
      'room',
      'watch',
      facts(
        {},
        {
          shoot: fold([
            ...ready,
            ...wholeAttempt(1).slice(0, 5),
            {
              kind: 'measured',
              attempt: 1,
              reading: {...goodReading(), ambient: {levelEv: -4, riseEv: 3, side: 'left', kelvin: null}},
            },
          ]),
        },
      ),
      /^The room was at −4\.0 EV in attempt 1, planned is −7\.0 EV\.$/,
    ],
    [
      'a flash cue after the closing',
      'cues',
      'watch',
      facts(
        {},
        {
          shoot: fold([
            ...ready,
            {kind: 'cues-set', cues: {countdownSeconds: 5, cues: [{name: 'flash', atSeconds: 9, sound: 'tone'}]}},
          ]),
        },
      ),
      /outside the exposure/,
    ],
    [
      'flash cues faster than three a second',
      'cues',
      'fail',
      facts(
        {},
        {
          shoot: fold([
            ...ready,
            {
              kind: 'cues-set',
              cues: {countdownSeconds: 5, cues: [1, 1.2].map(atSeconds => ({name: 'flash', atSeconds, sound: 'tone'}))},
            },
          ]),
        },
      ),
      /nearer than a third of a second/,
    ],
  ];
  it.each(cases)('tells %s', (_, id, state, given, say) => {
    expect(item(given, id)).toMatchObject({state, say: expect.stringMatching(say)});
    if (state !== 'ok') expect(item(given, id)!.fix).toMatch(/\.$/);
    expect(isReady(preflight(given))).toBe(state !== 'fail');
  });
});

describe('the preflight, told', () => {
  it('asks for what only the sitter can say, with the powers of the plan', () => {
    const lights = demoRig.lights.map(light => ({...light, power: light.id === 'A' ? 1 / 16 : 1 / 32}));
    const told = preflight(facts({}, {shoot: fold([...ready, {kind: 'rig-set', rig: {...demoRig, lights}}])}))
      .filter(({by}) => by === 'told')
      .map(({say}) => say);
    expect(told).toEqual([
      'The painting light is in your hand and dimmed.',
      'The flashes are on and set: A 1/16, B 1/32. Snoots and gels sit firmly.',
      'The room light can be switched off from where you stand.',
      'The floor is clear and you know your way in the dark.',
      'Cords lie clear of your feet, and none near your neck.',
      'Nobody here is sensitive to flashing light.',
      'Eyes are closed or turned away at each pop; no pop at arm’s length into open eyes.',
      'Hot lamps and flash heads are away from skin and cloth.',
      'Local rules and the makers’ instructions come first.',
    ]);
  });

  it('asks nothing about flashes when none is on', () => {
    const lights = demoRig.lights.map(light => ({...light, on: false}));
    const ids = preflight(facts({}, {shoot: fold([...ready, {kind: 'rig-set', rig: {...demoRig, lights}}])})).map(
      ({id}) => id,
    );
    for (const id of ['flashes', 'flashing', 'eyes']) expect(ids).not.toContain(id);
  });

  it('lets no attempt through while one is open, and gives the journal what was answered', () => {
    const items = preflight(facts());
    expect(() => gate(items)).toThrow(PreflightFault);
    const ids = new Set(items.filter(({by}) => by === 'told').map(({id}) => id));
    expect(gate(preflight(facts({}, {told: ids})))).toHaveLength(ids.size);
  });
});

describe('cues', () => {
  const flashes = (...times: number[]) => ({
    countdownSeconds: 10,
    cues: times.map(atSeconds => ({name: 'flash', atSeconds, sound: 'tone'}) as const),
  });

  it('may call three flashes in a second and no more (WCAG 2.3.1: at most three general flashes in any second)', () => {
    expect(cueTrouble(flashes(1, 1.34, 1.68))).toBeNull();
    expect(cueTrouble(flashes(1, 1 + 1 / 3, 1 + 2 / 3, 2))).toBeNull();
    expect(cueTrouble(flashes(1, 1.3))).toMatch(/more than three flashes a second/);
    expect(cueTrouble(flashes(2, 1, 1.1))).toMatch(/more than three flashes a second/);
  });

  it('know whether a flash is called while the shutter is closed', () => {
    expect(flashOutsideExposure(flashes(6.5), 8)).toBe(false);
    expect(flashOutsideExposure(flashes(8.5), 8)).toBe(true);
    expect(flashOutsideExposure(flashes(-1), 8)).toBe(true);
  });
});

describe('hot flashes', () => {
  const evening = (power: number, attempts: number): Shoot =>
    fold([
      {
        kind: 'rig-set',
        rig: {...demoRig, lights: demoRig.lights.map(light => ({...light, power: light.id === 'A' ? power : 1 / 64}))},
      },
      ...Array.from({length: attempts}, (_, done) => wholeAttempt(done + 1)).flat(),
    ]);
  const soon = Date.parse(at) + 60_000;

  it('are said after the light of 20 full pops within ten minutes, by name', () => {
    expect(heatWords(evening(1, 19), soon)).toBeNull();
    expect(heatWords(evening(1, 20), soon)).toBe('A gave the light of 20 full pops within ten minutes and may be hot.');
    expect(heatWords(evening(1 / 2, 39), soon)).toBeNull();
    expect(heatWords(evening(1 / 2, 40), soon)).not.toBeNull();
  });

  it('are forgotten after ten minutes, and attempts that never opened do not count', () => {
    expect(heatWords(evening(1, 40), soon + 600_000)).toBeNull();
    const shoot = evening(1, 40);
    expect(heatWords({attempts: shoot.attempts.map(attempt => ({...attempt, openedAt: null}))}, soon)).toBeNull();
  });
});

describe('the bytes an attempt will need', () => {
  it('are those of RAW and JPEG together until one was made, then the most of the last ones', () => {
    expect(expectedBytes(fold([]))).toBe(45_000_000);
    expect(expectedBytes(fold(shortEvening(2)))).toBe(4096);
  });
});
