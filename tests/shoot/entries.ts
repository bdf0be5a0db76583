import fc from 'fast-check';
import {usualCueSheet} from '../../shared/cues.js';
import type {JournalEvent} from '../../shared/journal.js';
import {demoRig} from '../../shared/rig.js';
import {fakeJudge, measurementOf} from './fakes.js';

const exposure = {shutterSeconds: 8, fNumber: 8, iso: 100};

/** The reading of a good frame, as an attempt's journal holds it. */
export const goodReading = (file = 'DSC_0001.JPG') => {
  const measurement = measurementOf(file);
  const {checks, advice} = fakeJudge({measurement, limits: {}, rig: null, exposure, changes: [], earlier: []});
  return {...measurement, checks, advice};
};

export const fileOf = (path: string, nameOnCamera = path.split('/').at(-1)!) =>
  ({path, nameOnCamera, kind: 'jpeg', bytes: 4096, sha256: 'ab'.repeat(32)}) as const;

/** What one attempt from countdown to reading leaves in the journal. */
export const wholeAttempt = (attempt: number, name = `DSC_${String(attempt).padStart(4, '0')}.JPG`): JournalEvent[] => [
  {kind: 'attempt-begun', attempt, exposure, cues: usualCueSheet(8), told: ['The floor is clear.'], series: false},
  {kind: 'shutter-opened', attempt},
  {kind: 'shutter-closed', attempt, openSeconds: 8.002},
  {kind: 'frames-made', attempt, frames: [{folder: '/store/100', name, kind: 'jpeg', bytes: 4096}]},
  {kind: 'frame-pulled', attempt, file: fileOf(`attempts/${String(attempt).padStart(3, '0')}/${name}`, name)},
  {kind: 'measured', attempt, reading: goodReading(name)},
];

/** A short evening: plan, plates, attempts. */
export const shortEvening = (attempts = 3): JournalEvent[] => [
  {kind: 'shoot-begun', name: 'window-light', program: 'darkset test'},
  {kind: 'exposure-set', exposure},
  {kind: 'rig-set', rig: demoRig},
  {kind: 'plate-taken', plate: 'dark', exposure, files: [fileOf('plates/dark.jpg')]},
  {kind: 'zones-set', zones: {face: {cx: 0.5, cy: 0.4, rx: 0.09, ry: 0.17}}},
  ...Array.from({length: attempts}, (_, at) => wholeAttempt(at + 1)).flat(),
  {kind: 'marked', attempt: 1, mark: 'keep'},
  {kind: 'noted', attempt: 1, text: 'the wand too low'},
];

/** Any event of a shoot, with any text a hostile camera, file or person could put into it. */
export const anyEvent = (): fc.Arbitrary<JournalEvent> => {
  const attempt = fc.integer({min: 1, max: 40});
  const text = fc.oneof(
    fc.string({unit: 'binary', maxLength: 60}),
    fc.constantFrom('\u001b[2J', '\u202egpj.exe', 'a\nb', '\0'),
  );
  return fc.oneof(
    fc.record({kind: fc.constant('noted' as const), attempt, text}),
    fc.record({
      kind: fc.constant('marked' as const),
      attempt,
      mark: fc.constantFrom('keep' as const, 'maybe' as const, 'drop' as const, null),
    }),
    fc.record({kind: fc.constant('probe-begun' as const), attempt}),
    fc.record({
      kind: fc.constant('probe-made' as const),
      frames: fc.array(fc.record({folder: text, name: text, kind: fc.constant('raw' as const), bytes: fc.nat()})),
    }),
    fc.record({kind: fc.constant('shutter-opened' as const), attempt}),
    fc.record({
      kind: fc.constant('shutter-closed' as const),
      attempt,
      openSeconds: fc.double({min: 0, max: 90_000, noNaN: true}),
    }),
    fc.record({kind: fc.constant('unmeasured' as const), attempt, why: text}),
    fc.record({
      kind: fc.constant('attempt-stopped' as const),
      attempt,
      during: fc.constantFrom('countdown' as const, 'exposure' as const, 'pull' as const),
      why: text,
    }),
    fc.record({kind: fc.constant('measured' as const), attempt, reading: fc.constant(goodReading())}),
    fc.record({
      kind: fc.constant('exposure-set' as const),
      exposure: fc.record({
        shutterSeconds: fc.constantFrom(0.25, 1, 8, 30),
        fNumber: fc.constantFrom(5.6, 8, 10),
        iso: fc.constantFrom(50, 100, 3200),
      }),
    }),
    fc.record({
      kind: fc.constant('room-level-set' as const),
      roomEv100: fc.double({min: -20, max: 20, noNaN: true}),
      how: text,
    }),
    fc.record({
      kind: fc.constant('attempt-begun' as const),
      attempt,
      exposure: fc.constant(exposure),
      cues: fc.constant(usualCueSheet(8)),
      told: fc.array(text, {maxLength: 3}),
      series: fc.boolean(),
    }),
    fc.record({
      kind: fc.constant('frames-made' as const),
      attempt,
      frames: fc.array(fc.record({folder: text, name: text, kind: fc.constant('jpeg' as const), bytes: fc.nat()}), {
        maxLength: 2,
      }),
    }),
  );
};
