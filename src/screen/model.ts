import type {Place, Session, SessionState} from '../shoot/state.js';
import {createKeyGate} from './terminal/key-gate.js';
import type {Key} from './terminal/keys.js';
import {createTurningClock} from './terminal/turning-clock.js';
import {bindingOf, bindingsFor, isGoOn, isStop} from './ui/bindings.js';
import {takesText, typedInto} from './ui/dialog-keys.js';
import {goOn} from './ui/go-on.js';
import {reduceUi} from './ui/reduce.js';
import {type Binding, type Effect, firstUi, type Ui, type UiAction} from './ui/state.js';

/** What the screens are drawn from. A message that was left behind in another place is no longer in its state. */
export type View = {ui: Ui; state: SessionState};

export type Model = {
  view(): View;
  subscribe(listener: () => void): () => void;
  press(key: Key): void;
  paste(text: string): void;
  /**
   * Says that the screens are drawn. Keys of before waited while they were loaded, and nobody can tell whether they were
   * pressed or held: they don't go on.
   */
  ready(): void;
  /** Says that the screens are closing, so that nothing is offered any more. */
  close(): void;
  stop(): void;
};

export type ModelOptions = {
  /** Leaves the program. */
  quit(): void;
  /** Opens a file in the system's viewer. Null when it was handed over, else one sentence. */
  view(path: string): Promise<string | null>;
  /** Monotonic milliseconds of the real clock. */
  now(): number;
};

/** A "go on" this soon after its meaning changed by itself was meant for what stood there before. */
const FRESH_MS = 250;
/** The session may change a hundred times a second while a file is pulled; the eye needs thirty. */
const SHOWN_EVERY_MS = 33;

/** What shows no message: one that came meanwhile is still to be read. */
const messageless: ReadonlySet<string> = new Set(['countdown', 'open', 'waiting for a file']);
/** Activities after which eyes must stay used to the dark. */
const dark: ReadonlySet<string> = new Set(['preflight', 'countdown', 'room check', 'open', 'waiting for a file']);

const keyName = (key: Key): string =>
  `${key.ctrl ? 'ctrl ' : ''}${key.alt ? 'alt ' : ''}${key.shift && key.name.length > 1 ? 'shift ' : ''}${key.name}`;

/** The place where an activity belongs that begins by itself. */
const placeOf = (state: SessionState): Place | null => {
  const {activity} = state;
  if (activity.kind === 'preflight' || activity.kind === 'room check') return 'attempt';
  if (activity.kind === 'wrapping') return 'wrap';
  if (activity.kind !== 'countdown' && activity.kind !== 'open') return null;
  return activity.subject.kind === 'plate' ? 'plates' : activity.subject.kind === 'attempt' ? 'attempt' : null;
};

/**
 * The screens' state beside the session's: keys change it, the session's changes are followed.
 */
export const createModel = (session: Session, {quit, view: openFile, now}: ModelOptions): Model => {
  let ui = firstUi(session.state());
  let view: View = {ui, state: session.state()};
  /** The message that stood there when another place was gone to. */
  let leftBehind: SessionState['message'] = null;
  let isReady = false;
  let offered = {say: '', atMs: Number.NEGATIVE_INFINITY};
  let timer: NodeJS.Timeout | null = null;
  let shownMs = Number.NEGATIVE_INFINITY;
  const turning = createTurningClock(now);
  const gates = new Map<string, ReturnType<typeof createKeyGate>>();
  /** Whether this press counts. What only changes the screens may be repeated by holding the key. */
  const lets = (key: Key, binding: Binding): boolean => {
    const isHarmless = binding.effects.every(effect => effect.kind === 'ui') && !isGoOn(binding) && !isStop(binding);
    const stopsWork = isStop(binding) && session.state().activity.kind !== 'resting';
    if (isHarmless || stopsWork) return key.event !== 'release';
    const name = isGoOn(binding) ? 'go on' : binding.keys[0]!;
    const gate = gates.get(name) ?? createKeyGate(turning.now);
    gates.set(name, gate);
    const isFresh = !isReady || now() - offered.atMs < FRESH_MS;
    const isLet = gate.lets(key);
    turning.pressed();
    return isLet && !(isGoOn(binding) && isFresh);
  };
  const listeners = new Set<() => void>();

  const show = (): void => {
    if (timer) clearTimeout(timer);
    timer = null;
    shownMs = now();
    const state = session.state();
    view = {ui, state: state.message !== null && state.message === leftBehind ? {...state, message: null} : state};
    for (const listener of listeners) listener();
  };

  const change = (action: UiAction): void => {
    ui = reduceUi(ui, action);
  };

  const noteOffer = (byItself: boolean): void => {
    const say = goOn(ui, session.state())?.say ?? '';
    if (say !== offered.say) offered = {say, atMs: byItself ? now() : Number.NEGATIVE_INFINITY};
  };

  let followed = session.state();
  const follow = (): void => {
    const state = session.state();
    if (state === followed) return;
    const before = followed;
    followed = state;
    const begun = state.activity.kind !== before.activity.kind ? placeOf(state) : null;
    // What a hand-off has come to is looked at before anything else.
    const isHandedOff = before.activity.kind === 'wrapping';
    const moved = state.next.place !== before.next.place && !isHandedOff ? state.next.place : null;
    const place = begun ?? moved;
    const goes = place !== null && place !== ui.place && !takesText(ui.dialog);
    if (goes) change({kind: 'go to', place});
    const couldBeRead = !messageless.has(before.activity.kind);
    if ((goes || begun) && couldBeRead && state.message === before.message) leftBehind = state.message;
    if (begun && ui.dialog) change({kind: 'dialog', dialog: null});
    if (dark.has(state.activity.kind) && !ui.paletteChosen && ui.palette === 'day') {
      change({kind: 'palette', name: 'night', chosen: false});
    }
    // A plate that was just taken is looked at, whichever was before.
    if (state.shoot.plates !== before.shoot.plates) change({kind: 'plates', change: {row: null}});
    noteOffer(true);
    const waitMs = shownMs + SHOWN_EVERY_MS - now();
    if (state.activity.kind !== before.activity.kind || waitMs <= 0) show();
    else timer ??= setTimeout(show, waitMs);
  };

  const perform = (effects: readonly Effect[]): void => {
    for (const effect of effects) {
      if (effect.kind === 'ui') change(effect.action);
      else if (effect.kind === 'send') session.send(effect.intent);
      else if (effect.kind === 'quit') quit();
      else {
        void openFile(effect.path).then(say => {
          change({kind: 'notice', say});
          show();
        });
      }
    }
  };

  const unsubscribe = session.subscribe(follow);
  noteOffer(false);
  return {
    view: () => view,
    subscribe: listener => {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    press: key => {
      const binding = bindingOf(bindingsFor(ui, session.state()), keyName(key));
      if (binding ? !lets(key, binding) : key.event === 'release') return;
      change({kind: 'notice', say: null});
      const {place} = ui;
      const {message} = session.state();
      if (binding) perform(binding.effects);
      else if (ui.dialog && key.text !== '') change({kind: 'dialog', dialog: typedInto(ui.dialog, key.text)});
      else return;
      if (ui.place !== place) leftBehind = message;
      noteOffer(false);
      show();
    },
    paste: text => {
      if (!ui.dialog || !takesText(ui.dialog)) return;
      change({kind: 'dialog', dialog: typedInto(ui.dialog, text)});
      show();
    },
    ready: () => {
      isReady = true;
      offered = {...offered, atMs: now()};
    },
    close: () => {
      change({kind: 'closing'});
      show();
    },
    stop: () => {
      unsubscribe();
      turning.stop();
      if (timer) clearTimeout(timer);
    },
  };
};
