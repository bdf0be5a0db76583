import {describe, expect, it} from 'vitest';
import {bindingOf, bindingsFor} from '../../src/screen/ui/bindings.js';
import {goOn} from '../../src/screen/ui/go-on.js';
import {reduceUi} from '../../src/screen/ui/reduce.js';
import {type Effect, firstUi, type Ui} from '../../src/screen/ui/state.js';
import type {Activity, SessionState} from '../../src/shoot/state.js';
import {someAttempt, someShoot, someState} from './fake-session.js';

const at = (state: SessionState, change: Partial<Ui> = {}): Ui => ({...firstUi(state), ...change});

const effectsOf = (ui: Ui, state: SessionState, key: string): readonly Effect[] =>
  bindingOf(bindingsFor(ui, state), key)?.effects ?? [];

/** The screens after these keys, as far as they change the screens. */
const pressed = (ui: Ui, state: SessionState, ...keys: string[]): Ui =>
  keys.reduce(
    (current, key) =>
      effectsOf(current, state, key).reduce(
        (next, effect) => (effect.kind === 'ui' ? reduceUi(next, effect.action) : next),
        current,
      ),
    ui,
  );

const sends = (effects: readonly Effect[]) =>
  effects.flatMap(effect => (effect.kind === 'send' ? [effect.intent] : []));

const tried = someState({
  shoot: someShoot({attempts: [someAttempt(1), someAttempt(2)]}),
  next: {place: 'attempt', say: 'attempt 3', how: 'First the list.'},
});

describe('go on', () => {
  it.each(['space', 'enter', 'pagedown', 'f5', 'shift f5'])('is the key %s', key => {
    expect(sends(effectsOf(at(tried), tried, key))).toEqual([{kind: 'go on'}]);
  });

  it('says what the session says', () => {
    expect(goOn(at(tried), tried)).toMatchObject({say: 'attempt 3', how: 'First the list.'});
  });

  it('only goes to the next place from any other, and does nothing there yet', () => {
    const elsewhere = at(tried, {place: 'look back'});
    expect(sends(effectsOf(elsewhere, tried, 'space'))).toEqual([]);
    expect(pressed(elsewhere, tried, 'space').place).toBe('attempt');
  });

  it.each<Activity>([
    {kind: 'countdown', subject: {kind: 'attempt', attempt: 3}, opensAtMs: 1, cue: null},
    {kind: 'open', subject: {kind: 'attempt', attempt: 3}, openedAtMs: 0, seconds: 8, cue: null},
    {kind: 'pulling', subject: {kind: 'attempt', attempt: 3}, file: 'a', bytes: 0, total: 1},
    {kind: 'measuring', subject: {kind: 'attempt', attempt: 3}},
    {kind: 'room check', attempt: 3, say: null, holding: false},
  ])('does nothing during $kind', activity => {
    const state = {...tried, activity};
    expect(goOn(at(state), state)).toBeNull();
    expect(effectsOf(at(state), state, 'space')).toEqual([]);
  });

  it('offers to look for a frame only where the shutter was open', () => {
    const stopped = (openedAt: string | null): SessionState => ({
      ...tried,
      shoot: someShoot({attempts: [someAttempt(1, {stage: 'stopped', files: [], reading: null, openedAt})]}),
    });
    const never = stopped(null);
    expect(effectsOf(at(never), never, 'g')).toEqual([]);
    const open = stopped('2026-11-25T21:01:20+00:00');
    expect(sends(effectsOf(at(open), open, 'g'))).toEqual([{kind: 'look for lost frames'}]);
  });

  it('does not lose a cue sheet that cannot be: it says what is wrong and stays', () => {
    const {shoot} = tried;
    const cues = shoot.cues.cues.map(cue => (cue.name === 'lights out' ? {...cue, atSeconds: -99} : cue));
    const dialog = {kind: 'cues', sheet: {...shoot.cues, cues}, row: 1} as const;
    const ui = at(tried, {dialog});
    expect(goOn(ui, tried)!.how).toContain('before the countdown begins');
    expect(effectsOf(ui, tried, 'space')).toEqual([]);
    const usual = at(tried, {dialog: {...dialog, sheet: shoot.cues}});
    expect(sends(effectsOf(usual, tried, 'space'))).toEqual([{kind: 'set cues', cues: shoot.cues}]);
  });

  it('sets what was changed on the Plan, all of it and nothing else', () => {
    const state = someState({next: {place: 'plan', say: 'agree', how: ''}});
    const changed = pressed(at(state), state, 'down', 'right', 'down', 'left', 'left', 'left');
    expect(goOn(changed, state)?.say).toBe('set 8 s f/9 ISO 50');
    expect(sends(effectsOf(changed, state, 'space'))).toEqual([
      {kind: 'set exposure', change: {shutterSeconds: 8, fNumber: 9, iso: 50}},
    ]);
    expect(pressed(changed, state, 'space').plan.draft).toBeNull();
  });

  it('gives a cue sheet for the new time when the time was changed', () => {
    const state = someState({next: {place: 'plan', say: 'agree', how: ''}});
    const longer = pressed(at(state), state, 'right');
    expect(sends(effectsOf(longer, state, 'space'))).toMatchObject([
      {kind: 'set exposure', change: {shutterSeconds: 10}},
      {
        kind: 'set cues',
        cues: {cues: expect.arrayContaining([expect.objectContaining({name: 'closed', atSeconds: 10})])},
      },
    ]);
  });

  it('agrees to the outline of the head as it was moved and sized', () => {
    const state = someState({proposedZones: {face: {cx: 0.5, cy: 0.4, rx: 0.1, ry: 0.2}}});
    const moved = pressed(at(state, {place: 'plates'}), state, 'right', 'right', 'up', 'tab', 'right', 'shift up');
    expect(sends(effectsOf(moved, state, 'enter'))).toEqual([
      {kind: 'set zones', zones: {face: {cx: 0.51, cy: 0.395, rx: 0.105, ry: 0.205}}},
    ]);
  });

  it('is not the space bar while somebody writes a note', () => {
    const writing = at(tried, {place: 'attempt', dialog: {kind: 'note', attempt: 2, text: 'hand too'}});
    expect(effectsOf(writing, tried, 'space')).toEqual([]);
    expect(sends(effectsOf(writing, tried, 'enter'))).toEqual([{kind: 'note', attempt: 2, text: 'hand too'}]);
  });
});

describe('stop', () => {
  it.each<Activity>([
    {kind: 'preflight', items: [], ready: true, series: false},
    {kind: 'countdown', subject: {kind: 'attempt', attempt: 3}, opensAtMs: 1, cue: null},
    {kind: 'open', subject: {kind: 'attempt', attempt: 3}, openedAtMs: 0, seconds: 8, cue: null},
    {kind: 'pulling', subject: {kind: 'attempt', attempt: 3}, file: 'a', bytes: 0, total: 1},
    {kind: 'measuring', subject: {kind: 'attempt', attempt: 3}},
    {kind: 'speaking', attempt: 3, say: ''},
    {kind: 'between', attempt: 3, nextAtMs: 0, done: 1, wanted: 5},
    {kind: 'wrapping', files: 0, of: 1, file: ''},
  ])('stops $kind, in every place and over every dialog', activity => {
    const state = {...tried, activity};
    for (const place of ['plan', 'plates', 'attempt', 'look back', 'wrap'] as const) {
      for (const dialog of [null, {kind: 'help'} as const, {kind: 'note', attempt: 1, text: ''} as const]) {
        for (const key of ['escape', 'pageup']) {
          expect(sends(effectsOf(at(state, {place, dialog}), state, key))).toEqual([{kind: 'stop'}]);
        }
      }
    }
  });

  it('at rest goes back to the work, then asks whether to leave, and never leaves by itself', () => {
    const elsewhere = at(tried, {place: 'look back'});
    const back = pressed(elsewhere, tried, 'escape');
    expect(back.place).toBe('attempt');
    const asked = pressed(back, tried, 'escape');
    expect(asked.dialog).toEqual({kind: 'leaving?'});
    const again = pressed(asked, tried, 'escape');
    expect(again.dialog).toBeNull();
    for (const ui of [elsewhere, back, asked, again]) {
      expect(effectsOf(ui, tried, 'escape').some(effect => effect.kind === 'quit')).toBe(false);
      expect(effectsOf(ui, tried, 'pageup').some(effect => effect.kind === 'quit')).toBe(false);
    }
  });

  it('forgets a change that was not set, and nothing more', () => {
    const state = someState({next: {place: 'plan', say: 'agree', how: ''}});
    const changed = pressed(at(state), state, 'right');
    const forgotten = pressed(changed, state, 'escape');
    expect(forgotten.plan.draft).toBeNull();
    expect(forgotten.place).toBe('plan');
  });
});

describe('the keys of the places', () => {
  it('writes each key once', () => {
    const states = [someState(), tried, someState({proposedZones: {face: {cx: 0.5, cy: 0.5, rx: 0.1, ry: 0.2}}})];
    for (const state of states) {
      for (const place of ['plan', 'plates', 'attempt', 'look back', 'wrap'] as const) {
        const keys = bindingsFor(at(state, {place}), state).flatMap(binding => binding.keys);
        expect(
          keys.filter((key, index) => keys.indexOf(key) !== index),
          place,
        ).toEqual([]);
      }
    }
  });

  it('leads to the five places by 1 to 5', () => {
    const reached = ['1', '2', '3', '4', '5'].map(key => pressed(at(tried), tried, key).place);
    expect(reached).toEqual(['plan', 'plates', 'attempt', 'look back', 'wrap']);
  });

  it('marks the newest attempt, and takes the mark away by the same key', () => {
    expect(sends(effectsOf(at(tried), tried, 'k'))).toEqual([{kind: 'mark', attempt: 2, mark: 'keep'}]);
    const kept = {...tried, shoot: someShoot({attempts: [someAttempt(1), someAttempt(2, {mark: 'keep'})]})};
    expect(sends(effectsOf(at(kept), kept, 'k'))).toEqual([{kind: 'mark', attempt: 2, mark: null}]);
  });

  it('begins the series as it was set', () => {
    const ui = pressed(at(tried), tried, 's', 'right', 'right', 'down', 'left', 'down', 'right');
    expect(sends(effectsOf(ui, tried, 'space'))).toEqual([
      {kind: 'begin series', count: 7, pauseSeconds: 15, untilPassed: false},
    ]);
  });

  it('edits the cue sheet in tenths of a second', () => {
    const ui = pressed(at(tried), tried, 'c', 'down', 'down', 'down', 'right', 'right', 's');
    expect(sends(effectsOf(ui, tried, 'space'))).toMatchObject([
      {kind: 'set cues', cues: {cues: expect.arrayContaining([{name: 'paint', atSeconds: 0.7, sound: 'none'}])}},
    ]);
  });

  it('edits a limit of the shoot and leaves the others as they are', () => {
    const ui = pressed(at(tried), tried, 'l', 'down', 'right');
    const [intent] = sends(effectsOf(ui, tried, 'space'));
    expect(intent).toEqual({kind: 'set limits', limits: {'face level high': 1.4}});
  });

  it('asks what would be handed off on the way to Wrap, and puts it away when one goes elsewhere', () => {
    expect(sends(effectsOf(at(tried), tried, '5'))).toEqual([{kind: 'plan wrap', folder: null, maybeToo: false}]);
    const planned = {
      ...tried,
      wrapPlan: {files: ['a'], folder: '/x', destination: null, bytes: 1},
      next: {place: 'wrap' as const, say: 'copy', how: ''},
    };
    expect(sends(effectsOf(at(planned), planned, '3'))).toEqual([{kind: 'stop'}]);
  });

  it('lists only kept attempts when asked, and says so', () => {
    const state = {...tried, shoot: someShoot({attempts: [someAttempt(1, {mark: 'keep'}), someAttempt(2)]})};
    const ui = pressed(at(state, {place: 'look back'}), state, 'o');
    expect(ui.lookBack.filter).toBe('kept');
    expect(sends(effectsOf(ui, state, 'd'))).toEqual([{kind: 'mark', attempt: 1, mark: 'drop'}]);
  });

  it('works no key but stop and leave while the shutter is open', () => {
    const state: SessionState = {
      ...tried,
      activity: {kind: 'open', subject: {kind: 'attempt', attempt: 3}, openedAtMs: 0, seconds: 8, cue: null},
    };
    const keys = bindingsFor(at(state), state).flatMap(binding => binding.keys);
    expect(keys).toEqual(['escape', 'pageup', 'ctrl c', 'n']);
  });
});
