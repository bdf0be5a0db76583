import {type Place, places, type SessionState} from '../../shoot/state.js';
import {attemptKeys} from './attempt-keys.js';
import {dialogKeys, takesText} from './dialog-keys.js';
import {goOn} from './go-on.js';
import {lookBackKeys} from './look-back-keys.js';
import {planKeys} from './plan-keys.js';
import {platesKeys} from './plates-keys.js';
import {type Binding, bind, closeDialog, type Effect, openDialog, toSession, toUi, type Ui} from './state.js';
import {wrapKeys} from './wrap-keys.js';

/**
 * Keys that go on. F5 is what the start button of many clickers sends. Whoever types needs the space bar for spaces.
 */
const goOnKeys = ['space', 'enter', 'pagedown', 'f5', 'shift f5'];
/** Keys that stop. A clicker's stop button sends Escape, some the full stop or b that blank a slide: those do nothing. */
const stopKeys = ['escape', 'pageup'];

const isWorking = (state: SessionState): boolean => state.activity.kind !== 'resting';

/** What "stop" does: stops what runs; at rest it goes one step back and never loses anything. */
const stopping = (ui: Ui, state: SessionState): {say: string; effects: Effect[]} => {
  const stop = toSession({kind: 'stop'});
  // What lies over the place was opened for what is stopped now.
  if (isWorking(state)) return {say: 'stop', effects: ui.dialog ? [closeDialog, stop] : [stop]};
  if (ui.dialog) return {say: 'back', effects: [closeDialog]};
  if (ui.place === 'plates' && ui.plates.ellipse) {
    return {say: 'forget the change', effects: [toUi({kind: 'plates', change: {ellipse: null, sizing: false}})]};
  }
  if (ui.place === 'plan' && ui.plan.draft) {
    return {say: 'forget the change', effects: [toUi({kind: 'plan', change: {draft: null}})]};
  }
  // The session forgets the hand-off that waits, and the work goes back to where it was.
  if (state.wrapPlan) return {say: 'not now', effects: [toSession({kind: 'stop'})]};
  if (ui.place !== state.next.place) {
    return {say: `to ${state.next.place}`, effects: [toUi({kind: 'go to', place: state.next.place})]};
  }
  return {say: 'leave?', effects: [openDialog({kind: 'leaving?'})]};
};

const placeKeys: Record<Place, (ui: Ui, state: SessionState) => Binding[]> = {
  plan: planKeys,
  plates: platesKeys,
  attempt: attemptKeys,
  'look back': lookBackKeys,
  wrap: wrapKeys,
};

/** Going to Wrap asks what would be handed off; going elsewhere puts that away again. */
const toPlace = (place: Place, ui: Ui, state: SessionState): Effect[] => {
  const go = toUi({kind: 'go to', place});
  if (isWorking(state)) return [go];
  if (place !== 'wrap') return state.wrapPlan ? [toSession({kind: 'stop'}), go] : [go];
  return [toSession({kind: 'plan wrap', folder: state.wrapPlan?.destination ?? null, maybeToo: ui.wrap.maybeToo}), go];
};

const otherPalette = (ui: Ui): Binding => {
  const name = ui.palette === 'night' ? 'day' : 'night';
  return bind('n', `${name} colours`, [toUi({kind: 'palette', name, chosen: true})]);
};

/**
 * Every key that works at this moment, and what it does: the screens' one list, for the keys, for the line at the
 * bottom and for the help. The first binding of a key wins.
 */
export const bindingsFor = (ui: Ui, state: SessionState): Binding[] => {
  const leave: Binding = {keys: ['ctrl c'], shown: 'Ctrl-C', say: 'leave', often: false, effects: [{kind: 'quit'}]};
  if (ui.closing) return [leave];
  const typing = takesText(ui.dialog) && !isWorking(state);
  const next = goOn(ui, state);
  const stop = stopping(ui, state);
  const shared: Binding[] = [
    ...(next
      ? [
          {
            keys: typing ? ['enter', 'pagedown'] : goOnKeys,
            shown: typing ? 'Enter' : 'space',
            say: next.say,
            often: false,
            effects: next.effects,
          },
        ]
      : []),
    {keys: stopKeys, shown: 'Esc', say: stop.say, often: true, effects: stop.effects},
    leave,
  ];
  // While something runs that nobody may touch, stop is the only word.
  if (isWorking(state) && !next) return [...shared, otherPalette(ui)];
  if (ui.dialog) return [...shared, ...dialogKeys(ui.dialog, state), ...(typing ? [] : [otherPalette(ui)])];
  return [
    ...shared,
    ...placeKeys[ui.place](ui, state),
    ...places.map((place, index) => bind(String(index + 1), place, toPlace(place, ui, state))),
    otherPalette(ui),
    {keys: ['?'], shown: '?', say: 'keys', often: true, effects: [openDialog({kind: 'help'})]},
    bind('q', 'leave', [{kind: 'quit'}]),
  ];
};

/** The binding that a key has now. */
export const bindingOf = (bindings: readonly Binding[], keyName: string): Binding | undefined =>
  bindings.find(binding => binding.keys.includes(keyName));

/** Whether this binding is the one that stops. */
export const isStop = (binding: Binding): boolean => binding.keys.includes('pageup');

/** Whether this binding is the one that goes on. */
export const isGoOn = (binding: Binding): boolean => binding.keys.includes('pagedown');
