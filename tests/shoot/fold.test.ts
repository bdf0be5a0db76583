import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import {usualCueSheet} from '../../shared/cues.js';
import type {JournalEntry, JournalEvent} from '../../shared/journal.js';
import {demoRig} from '../../shared/rig.js';
import {changesBetween, type Setup} from '../../src/shoot/changes.js';
import {applyEntry, emptyShoot, foldShoot} from '../../src/shoot/fold.js';
import {anyEvent, fileOf, goodReading, shortEvening, wholeAttempt} from './entries.js';

const at = '2026-11-25T20:00:00.000Z';
const stamped = (events: JournalEvent[]): JournalEntry[] => events.map(event => ({v: 1, at, ...event}) as JournalEntry);
const fold = (events: JournalEvent[]) => foldShoot(stamped(events));

describe('the fold of a journal', () => {
  it('is an empty shoot with the usual exposure, rig and cues when nothing was written', () => {
    expect(fold([])).toEqual(emptyShoot());
    expect(emptyShoot()).toMatchObject({
      planned: false,
      exposure: {shutterSeconds: 8, fNumber: 8, iso: 100},
      rig: demoRig,
    });
  });

  it('tells an evening: plan, plates, attempts with readings, marks and notes', () => {
    const shoot = fold(shortEvening(3));
    expect(shoot).toMatchObject({name: 'window-light', begunAt: at, planned: true, zones: {face: {cx: 0.5}}});
    expect(shoot.plates.map(({plate}) => plate)).toEqual(['dark']);
    expect(shoot.attempts).toHaveLength(3);
    expect(shoot.attempts[0]).toMatchObject({
      number: 1,
      stage: 'measured',
      openedAt: at,
      openSeconds: 8.002,
      mark: 'keep',
      notes: ['the wand too low'],
      reading: goodReading(),
    });
  });

  it('is the same entry by entry as all at once, and never changes a shoot that it has given out', () => {
    fc.assert(
      fc.property(fc.array(anyEvent(), {maxLength: 25}), events => {
        let shoot = emptyShoot();
        for (const entry of stamped(events)) {
          const before = JSON.stringify(shoot);
          const next = applyEntry(shoot, entry);
          expect(JSON.stringify(shoot)).toBe(before);
          shoot = next;
        }
        expect(shoot).toEqual(fold(events));
      }),
      {numRuns: 40},
    );
  });

  it('passes over entries about attempts that never began', () => {
    expect(
      fold([
        {kind: 'shutter-opened', attempt: 9},
        {kind: 'noted', attempt: 9, text: 'x'},
      ]).attempts,
    ).toEqual([]);
  });

  it.each([
    ['begun', 1],
    ['open', 2],
    ['closed', 3],
    ['closed', 4],
    ['pulled', 5],
    ['measured', 6],
  ])('says %s after the first %i entries of an attempt', (stage, count) => {
    expect(fold(wholeAttempt(1).slice(0, count)).attempts[0]!.stage).toBe(stage);
  });

  it('keeps an attempt stopped when its frame is pulled afterwards, with the frame', () => {
    const [begun, opened, closed, made, pulled] = wholeAttempt(1);
    const stop: JournalEvent = {kind: 'attempt-stopped', attempt: 1, during: 'exposure', why: 'Stopped by hand.'};
    const attempt = fold([begun!, opened!, closed!, stop, made!, pulled!]).attempts[0]!;
    expect(attempt).toMatchObject({stage: 'stopped', trouble: 'Stopped by hand.'});
    expect(attempt.files).toHaveLength(1);
  });

  it('has the newest of a plate that was taken twice, and none that was dropped', () => {
    const taken = (path: string): JournalEvent => ({
      kind: 'plate-taken',
      plate: 'dark',
      exposure: null,
      files: [fileOf(path)],
    });
    expect(fold([taken('plates/dark.jpg'), taken('plates/dark.png')]).plates.map(({files}) => files[0]!.path)).toEqual([
      'plates/dark.png',
    ]);
    expect(fold([taken('plates/dark.jpg'), {kind: 'plate-dropped', plate: 'dark', why: 'gone'}]).plates).toEqual([]);
  });
});

describe('the cue sheet when the exposure changes', () => {
  const longer: JournalEvent = {kind: 'exposure-set', exposure: {shutterSeconds: 12, fNumber: 8, iso: 100}};
  it('follows as long as nobody has edited it', () => {
    expect(fold([longer]).cues).toEqual(usualCueSheet(12));
  });
  it('keeps an edited sheet, and moves only the closing', () => {
    const cues = {
      countdownSeconds: 6,
      cues: [
        {name: 'flash', atSeconds: 2.5, sound: 'tone'},
        {name: 'closed', atSeconds: 8, sound: 'tone'},
      ],
    } as const;
    const shoot = fold([{kind: 'cues-set', cues: {...cues, cues: [...cues.cues]}}, longer]);
    expect(shoot.cues.cues.map(({atSeconds}) => atSeconds)).toEqual([2.5, 12]);
  });
});

describe('what changed between attempts, in plain words', () => {
  const rig = {...demoRig, lights: demoRig.lights.map(light => ({...light, power: 1 / 16, distanceMetres: 1.1}))};
  const setup: Setup = {
    rig,
    exposure: {shutterSeconds: 8, fNumber: 8, iso: 100},
    cues: usualCueSheet(8),
    limits: {},
  };
  const withLight = (id: string, change: object): Setup => ({
    ...setup,
    rig: {...rig, lights: rig.lights.map(light => (light.id === id ? {...light, ...change} : light))},
  });

  it('is nothing when nothing did', () => {
    expect(changesBetween(setup, structuredClone(setup))).toEqual([]);
  });

  it.each<[string, Setup, string[]]>([
    ['a light moved', withLight('B', {distanceMetres: 0.9}), ['B moved 1.1 → 0.9 m']],
    ['a power', withLight('A', {power: 1 / 8}), ['A power 1/16 → 1/8']],
    ['a light switched off', withLight('B', {on: false}), ['B off']],
    ['an aim', withLight('B', {aimOffDegrees: -10}), ['B aim 0° → −10°']],
    ['a gel', withLight('A', {gel: null}), ['A gel full warm (159 mired) → none']],
    [
      'an exposure',
      {...setup, exposure: {shutterSeconds: 8, fNumber: 10, iso: 50}},
      ['aperture f/8 → f/10', 'sensitivity ISO 100 → ISO 50'],
    ],
    [
      'a cue',
      {
        ...setup,
        cues: {
          ...usualCueSheet(8),
          cues: usualCueSheet(8).cues.map(cue => (cue.name === 'flash' ? {...cue, atSeconds: 6} : cue)),
        },
      },
      ['cue "flash" 6.5 s → 6 s'],
    ],
    ['a countdown', {...setup, cues: usualCueSheet(8, 15)}, ['countdown 10 → 15 s']],
    ['a limit', {...setup, limits: {coverage: 0.5}}, ['limit "coverage" usual → 0.5']],
    ['a light taken away', {...setup, rig: {...rig, lights: rig.lights.slice(0, 1)}}, ['B taken away']],
  ])('names %s', (_, after, said) => {
    expect(changesBetween(setup, after)).toEqual(said);
  });

  it('is part of the attempt that came after the change', () => {
    const moved = withLight('B', {distanceMetres: 0.9}).rig;
    const shoot = fold([
      {kind: 'rig-set', rig},
      ...wholeAttempt(1),
      {kind: 'rig-set', rig: moved},
      ...wholeAttempt(2),
      ...wholeAttempt(3),
    ]);
    expect(shoot.attempts.map(({changes}) => changes)).toEqual([[], ['B moved 1.1 → 0.9 m'], []]);
  });
});
