import {afterEach, beforeEach, describe, expect, it, vi} from 'vitest';
import {createModel} from '../../src/screen/model.js';
import type {Key} from '../../src/screen/terminal/keys.js';
import type {Activity, SessionState} from '../../src/shoot/state.js';
import {createFakeSession, someAttempt, someShoot} from './fake-session.js';

const key = (name: string, rest: Partial<Key> = {}): Key => ({
  name,
  text: name.length === 1 ? name : '',
  ctrl: false,
  alt: false,
  shift: false,
  event: 'press',
  ...rest,
});

describe('the screens follow the session', () => {
  let nowMs = 0;
  beforeEach(() => {
    nowMs = 10_000;
    vi.useFakeTimers();
  });
  afterEach(() => void vi.useRealTimers());

  const open = (first: Partial<SessionState> = {}) => {
    const session = createFakeSession(first);
    const quit = vi.fn();
    const view = vi.fn(async (_path: string): Promise<string | null> => 'There is no viewer here.');
    const model = createModel(session, {quit, view, now: () => nowMs});
    model.ready();
    nowMs += 1000;
    const press = (name: string, rest?: Partial<Key>): void => model.press(key(name, rest));
    return {session, model, quit, view, press};
  };
  const wait = (ms: number): void => {
    for (let left = ms; left > 0; left -= 10) {
      nowMs += Math.min(10, left);
      vi.advanceTimersByTime(Math.min(10, left));
    }
  };

  it('moves on to the next place when the work does', () => {
    const {session, model} = open({next: {place: 'plates', say: 'take', how: ''}});
    session.set({next: {place: 'attempt', say: 'attempt 1', how: ''}});
    wait(100);
    expect(model.view().ui.place).toBe('attempt');
  });

  it('leave a message behind in the place where it was said, and show what is said on arriving', () => {
    const {session, model, press} = open({next: {place: 'plates', say: 'take', how: ''}});
    const message = {say: 'The dark plate is taken.', trouble: false};
    session.set({message});
    wait(100);
    expect(model.view().state.message).toBe(message);
    press('5');
    expect(model.view().state.message).toBeNull();
    session.set({message: {say: 'No attempt is marked keep yet.', trouble: true}});
    wait(100);
    expect(model.view().state.message?.trouble).toBe(true);
    session.set({next: {place: 'attempt', say: 'attempt 1', how: ''}});
    wait(100);
    expect(model.view().state.message).toBeNull();
    session.set({message: {say: 'Lost.', trouble: true}, next: {place: 'plates', say: 'look', how: ''}});
    wait(100);
    expect(model.view().state.message?.say).toBe('Lost.');
  });

  it('keep a message that came while nothing but the wait for a file was shown, wherever that leads', () => {
    const subject = {kind: 'attempt', attempt: 1} as const;
    const {session, model} = open({
      activity: {kind: 'waiting for a file', subject, say: 'Looking.'},
      next: {place: 'attempt', say: 'attempt 2', how: ''},
    });
    session.set({message: {say: 'The frame of attempt 1 is not on this camera.', trouble: true}});
    session.set({activity: {kind: 'resting'}, next: {place: 'plates', say: 'lock the focus', how: ''}});
    wait(100);
    expect(model.view().ui.place).toBe('plates');
    expect(model.view().state.message?.trouble).toBe(true);
  });

  it('put away what lies over the preflight when they stop it', () => {
    const {session, model, press} = open({activity: {kind: 'preflight', items: [], ready: true, series: false}});
    press('?');
    press('escape');
    expect(model.view().ui.dialog).toBeNull();
    expect(session.sent).toEqual([{kind: 'stop'}]);
  });

  it('stays where the person looks when only a reading arrives', () => {
    const {session, model, press} = open({
      shoot: someShoot({attempts: [someAttempt(1)]}),
      next: {place: 'attempt', say: 'attempt 2', how: ''},
    });
    press('4');
    session.set({shoot: someShoot({attempts: [someAttempt(1), someAttempt(2)]})});
    wait(100);
    expect(model.view().ui.place).toBe('look back');
  });

  it('goes dark with the first preflight, unless the person has chosen the day', () => {
    const preflight: Activity = {kind: 'preflight', items: [], ready: true, series: false};
    const follows = open();
    follows.session.set({activity: preflight});
    expect(follows.model.view().ui.palette).toBe('night');
    const chosen = open();
    chosen.press('n');
    chosen.press('n');
    chosen.session.set({activity: preflight});
    expect(chosen.model.view().ui.palette).toBe('day');
  });

  it('does not go on by keys that waited while the screens were loaded', () => {
    const session = createFakeSession({next: {place: 'plates', say: 'take', how: ''}});
    const model = createModel(session, {quit: vi.fn(), view: vi.fn(), now: () => nowMs});
    model.press(key('space'));
    wait(3000);
    model.ready();
    for (let waited = 0; waited < 20; waited++) model.press(key('space'));
    expect(session.sent).toEqual([]);
    wait(1000);
    model.press(key('space'));
    expect(session.sent).toEqual([{kind: 'go on'}]);
  });

  it('asks once when the key is held down', () => {
    const {session, press} = open({next: {place: 'plates', say: 'take', how: ''}});
    press('space');
    for (let repeat = 0; repeat < 30; repeat++) {
      wait(repeat === 0 ? 500 : 33);
      press('space');
    }
    expect(session.sent).toEqual([{kind: 'go on'}]);
  });

  it('asks once when the key is held down while the program is held up', () => {
    const {session, press} = open({next: {place: 'plates', say: 'take', how: ''}});
    press('space');
    wait(200);
    nowMs += 1500;
    for (let waited = 0; waited < 30; waited++) press('space');
    expect(session.sent).toEqual([{kind: 'go on'}]);
  });

  it('ignores a "go on" that was meant for what stood there a moment ago', () => {
    const {session, press} = open({next: {place: 'plates', say: 'take the dark plate', how: ''}});
    session.set({next: {place: 'plates', say: 'take the sitter plate', how: ''}});
    wait(100);
    press('space');
    expect(session.sent).toEqual([]);
    wait(1000);
    press('space');
    expect(session.sent).toEqual([{kind: 'go on'}]);
  });

  it('stops at the first press, however soon it comes', () => {
    const {session, press} = open({activity: {kind: 'measuring', subject: {kind: 'attempt', attempt: 1}}});
    press('space');
    press('escape');
    expect(session.sent).toEqual([{kind: 'stop'}]);
  });

  it('writes what is typed and pasted into a note, and takes no letter for a command', () => {
    const {session, model, press} = open({
      shoot: someShoot({attempts: [someAttempt(1)]}),
      next: {place: 'attempt', say: 'attempt 2', how: ''},
    });
    press('t');
    for (const sign of 'q k') press(sign === ' ' ? 'space' : sign, {text: sign});
    model.paste('\u001b[2J!\n');
    press('backspace');
    press('enter');
    expect(session.sent).toEqual([{kind: 'note', attempt: 1, text: 'q k [2J!'}]);
  });

  it('leaves by q, and by Ctrl-C at every moment', () => {
    const resting = open();
    resting.press('q');
    expect(resting.quit).toHaveBeenCalledOnce();
    const working = open({activity: {kind: 'measuring', subject: {kind: 'attempt', attempt: 1}}});
    working.press('q');
    expect(working.quit).not.toHaveBeenCalled();
    working.press('c', {ctrl: true});
    expect(working.quit).toHaveBeenCalledOnce();
  });

  it('draws at most some thirty times a second, however fast a pull reports', () => {
    const {session, model} = open();
    let drawn = 0;
    model.subscribe(() => {
      drawn++;
    });
    for (let bytes = 0; bytes < 200; bytes++) {
      session.set({activity: {kind: 'pulling', subject: {kind: 'attempt', attempt: 1}, file: 'a', bytes, total: 200}});
      wait(5);
    }
    wait(100);
    expect(drawn).toBeLessThanOrEqual(35);
    expect(model.view().state.activity).toMatchObject({bytes: 199});
  });

  it('does nothing twice for a key held down that writes to the journal, and repeats what only changes the screens', () => {
    const {session, model, press} = open({
      shoot: someShoot({attempts: [someAttempt(1), someAttempt(2), someAttempt(3)]}),
      next: {place: 'attempt', say: 'attempt 4', how: ''},
    });
    const hold = (name: string): void => {
      press(name);
      for (let repeat = 0; repeat < 20; repeat++) {
        wait(repeat === 0 ? 500 : 33);
        press(name);
      }
    };
    hold('k');
    expect(session.sent).toEqual([{kind: 'mark', attempt: 3, mark: 'keep'}]);
    hold('4');
    hold('up');
    expect(model.view().ui.lookBack.attempt).toBe(1);
  });

  it('does not flicker between asking and not asking to leave when stop is held', () => {
    const {model, press} = open({next: {place: 'plan', say: 'agree', how: ''}});
    press('escape');
    for (let repeat = 0; repeat < 21; repeat++) {
      wait(repeat === 0 ? 500 : 33);
      press('escape');
    }
    expect(model.view().ui.dialog).toEqual({kind: 'leaving?'});
  });

  it('says what a viewer answers, until the next key', async () => {
    const {model, press, view} = open({
      shoot: someShoot({attempts: [someAttempt(1)]}),
      next: {place: 'attempt', say: 'attempt 2', how: ''},
    });
    press('v');
    await vi.advanceTimersByTimeAsync(10);
    expect(view).toHaveBeenCalledWith('/shoots/lantern/attempts/001/frame.jpg');
    expect(model.view().ui.notice).toBe('There is no viewer here.');
    press('z');
    expect(model.view().ui.notice).toBeNull();
  });
});
