import path from 'node:path';
import {CameraFault} from '../../shared/camera.js';
import {keepCamera, type Link} from './camera-link.js';
import {type Desk, setUpDesk} from './desk.js';
import {guide} from './guide.js';
import {doIntent, type IntentTools} from './intents.js';
import {guessFace, loadPlates, plate, recover, singleAttempt} from './jobs.js';
import {safePath} from './names.js';
import {type OpenShoot, openShoot} from './open-shoot.js';
import {tidyPlates} from './plates.js';
import {preflighting} from './preflighting.js';
import {removeLeftovers} from './pull.js';
import {unfinished} from './recover.js';
import type {SessionDeps} from './session-deps.js';
import type {Intent, Session} from './state.js';
import {within} from './stopping.js';
import {type Job, workbench} from './workbench.js';

export type {CameraSource} from './camera-link.js';
export type {SessionDeps, WrapUp} from './session-deps.js';

/**
 * Opens a shoot and runs it: keeps its camera connected, does what the screens ask, writes everything to the journal.
 * @throws ShootFault, JournalFault when the folder can't be used; everything later becomes a message
 */
export const openSession = async (deps: SessionDeps): Promise<Session> => {
  const open = await openShoot(deps.folder, {program: deps.program, ...(deps.now && {now: deps.now})});
  try {
    await removeLeftovers(open.folder);
    for (const name of await tidyPlates(open.folder, open.shoot())) {
      await open.append({kind: 'plate-dropped', plate: name, why: 'its file is missing or changed'});
      open.findings.push(`The ${name} plate's file is missing or changed; take it again.`);
    }
    return run(deps, open);
  } catch (error) {
    await open.close();
    throw error;
  }
};

const run = (deps: SessionDeps, open: OpenShoot): Session => {
  const bench = workbench();
  let link: Link;
  const desk = setUpDesk(deps, open, () => link);
  let closing: Promise<void> | null = null;
  /** When a camera was last lost, epoch milliseconds: what it made since then is looked for when it is back. */
  let lostSinceMs: number | null = null;
  let lookWanted = false;
  /** What was found on opening; said together with what looking for lost frames comes to. */
  let found = open.findings.join(' ');

  const start = (job: Job): void => {
    if (closing) return;
    prelist.forget();
    desk.change({message: null});
    const begun = bench.start(job, error => {
      desk.show({kind: 'resting'});
      if (error) desk.complain(error);
      if (lookWanted && !closing) lookForLost();
    });
    if (!begun) desk.say('Something else is running; stop it first.', true);
  };
  const prelist = preflighting(desk, start);
  const tools: IntentTools = {desk, preflighting: prelist, busy: bench.busy, start, wrapChoice: null};

  const lookForLost = (): void => {
    lookWanted = bench.busy();
    if (lookWanted) return;
    const sinceMs = lostSinceMs;
    lostSinceMs = null;
    if (sinceMs === null && unfinished(open.shoot()).length === 0) return;
    start(recover(desk, {all: false, sinceMs, preface: found}));
    found = '';
  };

  const cameraSeen = async (): Promise<void> => {
    const {camera, shoot} = desk.state();
    if (camera.kind !== 'connected') return;
    // Told before anything is awaited: an attempt that begins meanwhile has a camera of its own and lacks nothing.
    const owed = lostSinceMs !== null || unfinished(shoot).length > 0;
    if (JSON.stringify(shoot.camera ?? null) !== JSON.stringify(camera.identity)) {
      await desk.append({kind: 'camera-seen', camera: camera.identity});
    }
    if (owed) lookForLost();
  };

  link = keepCamera(
    deps.cameras,
    {
      changed() {
        const camera = link?.state();
        if (!camera || closing) return;
        if (camera.kind === 'lost' && desk.state().camera.kind === 'connected') {
          lostSinceMs ??= desk.now().getTime();
          desk.change({camera, message: {say: camera.say, trouble: true}});
        } else desk.change({camera});
        if (desk.state().activity.kind === 'preflight') prelist.look().catch(desk.complain);
      },
      connected: () => void cameraSeen().catch(desk.complain),
    },
    bench.busy,
    deps.linkTimes,
  );

  const awake = deps.keepAwake().catch((error: Error) => {
    desk.say(error.message);
    return () => undefined;
  });
  const opened = loadPlates(desk);
  showLast(desk);
  if (found) desk.say(found, true);

  const goOn = async (): Promise<void> => {
    if (bench.busy()) {
      bench.goOn();
      return;
    }
    const {step} = guide({...desk.state(), obedient: deps.room !== null});
    switch (step.do) {
      case 'agree to the plan': {
        const {rig, exposure} = open.shoot();
        await desk.append({kind: 'rig-set', rig});
        await doIntent(tools, {kind: 'set exposure', change: exposure});
        return;
      }
      case 'lock the focus':
        return lockFocus(desk);
      case 'take a plate':
        return start(plate(desk, step.plate));
      case 'agree to the face':
        return doIntent(tools, {kind: 'set zones', zones: step.zones});
      case 'guess the face':
        return start(guessFace(desk));
      case 'look at the preflight':
        return desk.state().activity.kind === 'preflight' ? prelist.look() : prelist.begin(singleAttempt);
      case 'begin':
        return prelist.agree();
      case 'look for the camera':
        link.lookNow();
        return;
      case 'wrap':
        return doIntent(tools, {kind: 'wrap'});
      default:
        return;
    }
  };

  const stop = (): void => {
    const {activity, wrapPlan} = desk.state();
    if (bench.stop()) desk.show({kind: 'stopping', say: 'Stopping; what exists is kept.'});
    else if (activity.kind === 'preflight') prelist.end();
    else if (wrapPlan) desk.change({wrapPlan: null});
  };

  /** One after the other, so that a fast second word meets what the first has made. */
  let words: Promise<void> = Promise.resolve();
  const hear = (intent: Intent): void => {
    if (closing) return;
    if (intent.kind === 'stop') {
      stop();
      return;
    }
    const hearing = async (): Promise<void> => {
      if (closing) return;
      await (intent.kind === 'go on' ? goOn() : doIntent(tools, intent));
    };
    words = words.then(hearing).catch(desk.complain);
  };

  const close = async (): Promise<void> => {
    prelist.end();
    await bench.finish('The shoot was closed.');
    await within(2000, words);
    await within(3000, link.close());
    await within(2000, deps.sound.close());
    await within(
      3000,
      opened.then(() => deps.measurer.close()),
    );
    await within(
      1000,
      awake.then(release => release()),
    );
    await within(3000, open.close());
  };

  return {
    state: desk.state,
    subscribe: desk.subscribe,
    send: hear,
    now: deps.clock.now,
    picture: async (file, maxWidth, maxHeight) =>
      deps.measurer.picture(safePath(open.folder, path.relative(open.folder, file)), maxWidth, maxHeight),
    close: () => (closing ??= close()),
  };
};

/** Focuses and locks where the camera can; else locks what the person has focused, or asks for it. */
const lockFocus = async (desk: Desk): Promise<void> => {
  const {camera} = desk.state();
  if (camera.kind !== 'connected') return;
  if (!camera.status.can.focusDrive) {
    await desk.link.refresh();
    const now = desk.state().camera;
    if (now.kind === 'connected' && now.status.focusMode === 'auto') await lockAsItIs(desk);
    return;
  }
  await desk.camera().focus('drive');
  await desk.camera().focus('lock');
  await desk.append({kind: 'focus-locked', how: 'driven and locked by the camera'});
  await desk.link.refresh();
  desk.say('The focus is on the mark and locked.');
};

/** A camera that can't be told to focus may still be told to stay as it is. */
const lockAsItIs = async (desk: Desk): Promise<void> => {
  try {
    await desk.camera().focus('lock');
  } catch (error) {
    if (!(error instanceof CameraFault && ['unable', 'refused'].includes(error.reason))) throw error;
    desk.say('The camera still focuses by itself; switch its focus to manual.', true);
    return;
  }
  await desk.append({kind: 'focus-locked', how: 'by the camera'});
  await desk.link.refresh();
  desk.say('The focus is locked.');
};

/** The newest picture of the shoot, for the screen. */
const showLast = (desk: Desk): void => {
  const {attempts, plates} = desk.state().shoot;
  const files = attempts.findLast(({files}) => files.length > 0)?.files ?? plates.at(-1)?.files ?? [];
  const file = files.find(({kind}) => kind === 'jpeg') ?? files[0];
  if (!file) return;
  try {
    desk.change({pictureFile: safePath(desk.folder, file.path)});
  } catch (error) {
    desk.complain(error);
  }
};
