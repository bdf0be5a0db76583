import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import type {CameraStatus} from '../../shared/camera.js';
import type {JournalEntry, JournalEvent} from '../../shared/journal.js';
import {foldShoot} from '../../src/shoot/fold.js';
import {type GuideView, guide, type Step} from '../../src/shoot/guide.js';
import {type Activity, places, type Shoot, type Subject} from '../../src/shoot/state.js';
import {anyEvent, fileOf} from './entries.js';

const at = '2026-11-25T20:00:00.000Z';
const fold = (events: JournalEvent[]): Shoot => foldShoot(events.map(event => ({v: 1, at, ...event}) as JournalEntry));
const exposure = {shutterSeconds: 8, fNumber: 8, iso: 100};
const zones = {face: {cx: 0.5, cy: 0.4, rx: 0.1, ry: 0.17}};
const status: CameraStatus = {
  exposure,
  focusMode: 'manual',
  focusLocked: true,
  format: 'jpeg',
  batteryPercent: 80,
  freeBytes: null,
  freeFrames: null,
  clockDifferenceSeconds: null,
  can: {setExposure: true, openShutter: true, focusDrive: true, probe: true},
  notes: [],
};
const identity = {kind: 'studio', maker: '', model: '', serial: '', port: ''} as const;
const view = (shoot: Shoot, change: Partial<GuideView> = {}): GuideView => ({
  shoot,
  camera: {kind: 'connected', identity, status},
  activity: {kind: 'resting'},
  proposedZones: null,
  wrapPlan: null,
  obedient: true,
  ...change,
});

describe('the guide', () => {
  it('leads from nothing through plan, plates, face and preflight to the attempt, by its own steps alone', () => {
    const events: JournalEvent[] = [];
    let proposed: GuideView['proposedZones'] = null;
    let activity: Activity = {kind: 'resting'};
    let locked = false;
    const doStep = (step: Step): void => {
      if (step.do === 'agree to the plan') events.push({kind: 'exposure-set', exposure});
      if (step.do === 'lock the focus') locked = true;
      if (step.do === 'take a plate')
        events.push({kind: 'plate-taken', plate: step.plate, exposure, files: [fileOf('plates/x.jpg')]});
      if (step.do === 'guess the face') proposed = zones;
      if (step.do === 'agree to the face') events.push({kind: 'zones-set', zones: step.zones});
      if (step.do === 'look at the preflight') activity = {kind: 'preflight', items: [], ready: true, series: false};
    };
    const done: string[] = [];
    for (let steps = 0; steps < 20 && done.at(-1) !== 'begin'; steps++) {
      const camera = {
        kind: 'connected',
        identity,
        status: {...status, focusLocked: locked, focusMode: locked ? 'manual' : 'auto'},
      } as const;
      const {step} = guide(view(fold(events), {camera, proposedZones: proposed, activity}));
      done.push(step.do);
      doStep(step);
    }
    expect(done).toEqual([
      'agree to the plan',
      'lock the focus',
      'take a plate',
      'take a plate',
      'take a plate',
      'take a plate',
      'guess the face',
      'agree to the face',
      'look at the preflight',
      'begin',
    ]);
  });

  it('says something to do, in a place, in every state', () => {
    const subject: Subject = {kind: 'attempt', attempt: 1};
    const activities: Activity[] = [
      {kind: 'resting'},
      {kind: 'preflight', items: [], ready: true, series: true},
      {kind: 'countdown', subject, opensAtMs: 1, cue: null},
      {kind: 'room check', attempt: 1, say: null, holding: false},
      {kind: 'room check', attempt: 1, say: 'Room dark.', holding: true},
      {kind: 'open', subject: {kind: 'plate', plate: 'dark'}, openedAtMs: 1, seconds: 8, cue: null},
      {kind: 'waiting for a file', subject, say: 'Open the shutter now.'},
      {kind: 'pulling', subject, file: 'x', bytes: 1, total: 2},
      {kind: 'measuring', subject: {kind: 'probe'}},
      {kind: 'speaking', attempt: 1, say: 'All well.'},
      {kind: 'between', attempt: 1, nextAtMs: 1, done: 1, wanted: 3},
      {kind: 'wrapping', files: 1, of: 2, file: 'x'},
      {kind: 'stopping', say: 'Stopping.'},
    ];
    fc.assert(
      fc.property(
        fc.array(anyEvent(), {maxLength: 12}),
        fc.constantFrom(...activities),
        fc.boolean(),
        fc.boolean(),
        fc.boolean(),
        (events, activity, lost, proposed, obedient) => {
          const given = view(fold(events), {
            activity,
            obedient,
            proposedZones: proposed ? zones : null,
            ...(lost && {camera: {kind: 'lost', identity: null, say: 'Looking for the camera.'} as const}),
          });
          const {place, say, how} = guide(given);
          expect(places).toContain(place);
          expect(say.length).toBeGreaterThan(2);
          expect(how.length).toBeGreaterThan(2);
        },
      ),
    );
  });

  it('tells a person in a real room what to switch before each plate', () => {
    const taken = (...names: string[]): JournalEvent[] => [
      {kind: 'exposure-set', exposure},
      ...names.map((plate): JournalEvent => ({kind: 'plate-taken', plate, exposure, files: [fileOf('plates/x.jpg')]})),
    ];
    const how = (...names: string[]): string => guide(view(fold(taken(...names)), {obedient: false})).how;
    expect(how()).toBe('Nobody on the mark, flashes and painting light off, room light off.');
    expect(how('dark')).toBe('Stand on the mark, room light off, fire flash A alone, B off.');
    expect(how('dark', 'light A')).toBe('Stand on the mark, room light off, fire flash B alone, A off.');
    expect(how('dark', 'light A', 'light B')).toBe(
      'Stand on the mark, room light off, flashes A and B on, do not paint.',
    );
  });

  it('looks for a lost camera first, but lets the plan be made without one', () => {
    const camera = {kind: 'lost', identity: null, say: 'No camera is plugged in.'} as const;
    expect(guide(view(fold([]), {camera})).step.do).toBe('agree to the plan');
    expect(guide(view(fold([{kind: 'exposure-set', exposure}]), {camera}))).toMatchObject({
      say: 'look for the camera',
      how: 'No camera is plugged in.',
      step: {do: 'look for the camera'},
    });
  });

  it('does not send anybody back to the plates once attempts have begun', () => {
    const shoot = fold([
      {kind: 'exposure-set', exposure},
      {kind: 'attempt-begun', attempt: 1, exposure, cues: fold([]).cues, told: [], series: false},
    ]);
    expect(guide(view(shoot)).say).toBe('attempt 2');
  });

  it('offers the wrap that was planned', () => {
    const wrapPlan = {files: ['a.jpg', 'b.jpg'], folder: '/media/drive', destination: null, bytes: 10};
    expect(guide(view(fold([]), {wrapPlan}))).toMatchObject({place: 'wrap', say: 'copy 2 files', step: {do: 'wrap'}});
  });
});
