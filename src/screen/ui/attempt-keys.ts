import type {Mark} from '../../../shared/journal.js';
import type {Attempt, SessionState} from '../../shoot/state.js';
import {shownOf} from '../shown-file.js';
import {type Binding, bind, openDialog, toSession, toUi, type Ui} from './state.js';

/** Keys that mark an attempt; the same key again takes the mark away. */
export const markKeys = (attempt: Attempt): Binding[] => {
  const marking = (key: string, mark: Mark): Binding => {
    const again = attempt.mark === mark;
    const say = again ? `not ${mark}` : mark;
    return bind(key, say, [toSession({kind: 'mark', attempt: attempt.number, mark: again ? null : mark})], true);
  };
  return [
    marking('k', 'keep'),
    marking('m', 'maybe'),
    marking('d', 'drop'),
    bind('t', 'note', [openDialog({kind: 'note', attempt: attempt.number, text: ''})], true),
  ];
};

/** Keys about the picture that is shown. */
export const pictureKeys = (ui: Ui, measured: boolean): Binding[] =>
  measured
    ? [
        bind('z', ui.marks ? 'marks off' : 'marks', [toUi({kind: 'marks'})], true),
        bind('h', ui.view === 'picture' ? 'histogram' : 'picture', [toUi({kind: 'view'})], true),
      ]
    : [];

/** The key that opens a frame in the system's own viewer: never while something runs, for it would light the room. */
export const viewKey = (state: SessionState, attempt: Attempt): Binding[] => {
  const file = shownOf(state, attempt.files);
  return file && state.activity.kind === 'resting'
    ? [bind('v', 'open in the viewer', [{kind: 'view', path: file.path}])]
    : [];
};

/** The attempt that the screens speak of: the newest. */
export const latestAttempt = (state: SessionState): Attempt | null => state.shoot.attempts.at(-1) ?? null;

/** Whether a probe will tell of the room before the next opening. */
export const checksRoom = ({roomCheck, camera}: SessionState): boolean =>
  roomCheck === true && camera.kind === 'connected' && camera.status.can.probe;

/** The keys of Attempt. */
export const attemptKeys = (ui: Ui, state: SessionState): Binding[] => {
  const attempt = latestAttempt(state);
  const resting = state.activity.kind === 'resting';
  const series = bind(
    's',
    'series',
    [openDialog({kind: 'series', count: 5, pauseSeconds: 20, untilPassed: true, row: 0})],
    true,
  );
  const checks = checksRoom(state);
  const canProbe = state.camera.kind === 'connected' && state.camera.status.can.probe;
  const wasOpen =
    attempt &&
    (['open', 'closed'].includes(attempt.stage) ||
      (attempt.stage === 'stopped' && (attempt.openedAt ?? null) !== null));
  const waiting = wasOpen && attempt.files.length === 0;
  const preflight = state.activity.kind === 'preflight';
  const aboutFrame =
    attempt && attempt.files.length > 0
      ? [...markKeys(attempt), ...pictureKeys(ui, attempt.reading !== null), ...viewKey(state, attempt)]
      : [];
  const aboutNext = [
    ...(resting || preflight ? [series] : []),
    ...(canProbe && (resting || preflight)
      ? [
          bind(
            'p',
            checks ? 'no room check' : 'room check',
            [toSession({kind: 'set room check', on: !checks})],
            preflight,
          ),
        ]
      : []),
  ];
  return [
    ...(preflight ? [...aboutNext, ...aboutFrame] : [...aboutFrame, ...aboutNext]),
    ...(resting && attempt?.stage === 'unmeasured'
      ? [bind('r', 'measure again', [toSession({kind: 'measure again', attempt: attempt.number})], true)]
      : []),
    ...(resting && waiting ? [bind('g', 'look for its frame', [toSession({kind: 'look for lost frames'})], true)] : []),
    ...(resting ? [bind('l', 'limits', [openDialog({kind: 'limits', limits: state.shoot.limits, row: 0})])] : []),
    ...(resting ? [bind('c', 'cue sheet', [openDialog({kind: 'cues', sheet: state.shoot.cues, row: 0})])] : []),
  ];
};
