import {type Camera, CameraFault} from '../../shared/camera.js';
import {plainText} from '../../shared/plain-text.js';
import type {AttemptKit} from './attempt.js';
import type {Link} from './camera-link.js';
import {systemAsleepMs} from './cue-clock.js';
import {diskTrouble, errorCode} from './disk.js';
import {guide} from './guide.js';
import type {OpenShoot} from './open-shoot.js';
import type {SessionDeps} from './session-deps.js';
import type {Activity, SessionState} from './state.js';
import {StopAsked} from './stopping.js';

/** Where everything of a running shoot comes together: its state, its journal, its camera, and what is said. */
export type Desk = {
  deps: SessionDeps;
  folder: string;
  now(): Date;
  state(): SessionState;
  change(patch: Partial<SessionState>): void;
  subscribe(listener: () => void): () => void;
  /** Says something on the screen. */
  say(text: string, trouble?: boolean): void;
  /** Says what went wrong, and tells the camera's link of it. A stop is no trouble. */
  complain(error: unknown): void;
  show(activity: Activity): void;
  append: OpenShoot['append'];
  link: Link;
  /** @throws CameraFault when no camera is connected */
  camera(): Camera;
  /** What an attempt is made with now. @throws CameraFault when no camera is connected */
  kit(): AttemptKit;
};

/** The state of a shoot that was just opened. */
export const firstState = (deps: SessionDeps, open: OpenShoot): SessionState => ({
  shoot: open.shoot(),
  folder: open.folder,
  camera: {kind: 'lost', identity: null, say: 'Looking for the camera.'},
  sound: deps.sound.state(),
  roomCheck: deps.roomCheck ?? false,
  speed: deps.speed,
  activity: {kind: 'resting'},
  next: {place: 'plan', say: '', how: ''},
  message: null,
  pictureFile: null,
  proposedZones: null,
  wrapPlan: null,
});

export const setUpDesk = (deps: SessionDeps, open: OpenShoot, link: () => Link): Desk => {
  const now = deps.now ?? (() => new Date());
  const listeners = new Set<() => void>();
  let state = firstState(deps, open);

  const change = (patch: Partial<SessionState>): void => {
    const next = {...state, ...patch, shoot: open.shoot(), sound: deps.sound.state()};
    const {place, say, how} = guide({...next, obedient: deps.room !== null});
    state = {...next, next: {place, say, how}};
    for (const listener of [...listeners]) {
      try {
        listener();
      } catch (error) {
        // A screen that fails must not end an exposure: it hears no more, and the message says why.
        listeners.delete(listener);
        change({message: {say: `A part of the screen failed: ${plainText(sentenceOf(error))}`, trouble: true}});
      }
    }
  };
  change({});

  const say = (text: string, trouble = false): void => change({message: {say: plainText(text), trouble}});
  const show = (activity: Activity): void => change({activity});
  const camera = (): Camera => {
    const connected = link().camera();
    if (!connected) throw new CameraFault('gone', 'No camera is connected; it is being looked for.');
    return connected;
  };
  const append: OpenShoot['append'] = async event => {
    const entry = await open.append(event);
    change({});
    return entry;
  };

  return {
    deps,
    folder: open.folder,
    now,
    state: () => state,
    change,
    subscribe(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    say,
    complain(error) {
      link().report(error);
      if (error instanceof StopAsked) say(error.message);
      else say(sentenceOf(error), true);
    },
    show,
    append,
    get link() {
      return link();
    },
    camera,
    kit: () => ({
      camera: camera(),
      sound: deps.sound,
      time: {clock: deps.clock, speed: deps.speed, asleepMs: deps.asleepMs ?? systemAsleepMs},
      room: deps.room,
      shootFolder: open.folder,
      byHand: state.camera.kind === 'connected' && !state.camera.status.can.openShutter,
      show,
      append,
      shoot: open.shoot,
      measurer: deps.measurer,
      judge: deps.judge,
    }),
  };
};

/** An error as a person should read it. */
export const sentenceOf = (error: unknown): string => {
  if (errorCode(error) !== '') return `That did not work: ${diskTrouble(error)}.`;
  return error instanceof Error && error.message ? error.message : 'That did not work.';
};
