import path from 'node:path';
import {plainText} from '../../shared/plain-text.js';
import type {Sound} from '../../shared/sound.js';
import type {Measurer} from '../frame/measurer.js';
import {openMeasurer} from '../frame/open-measurer.js';
import {judge} from '../judge/judge.js';
import {notATerminal, startScreen} from '../screen/start-screen.js';
import {openSession} from '../shoot/session.js';
import {type CameraOptions, chooseCamera} from './cameras.js';
import {UsageFault} from './complain.js';
import {lateSound} from './late-sound.js';
import {programName} from './program.js';

export type ScreensOptions = CameraOptions & {
  from?: string;
  /** A rig file for this shoot. */
  rig?: string;
  volume: number;
  voice: boolean;
  sound: boolean;
};

/** A folder with today's date, for whoever names none. */
const todaysFolder = (): string => {
  const today = new Date();
  const two = (value: number): string => String(value).padStart(2, '0');
  return `shoot-${today.getFullYear()}-${two(today.getMonth() + 1)}-${two(today.getDate())}`;
};

const silence: Sound = {
  state: () => ({output: 'bell', speech: false, say: 'Sound is off; watch the screen for the cues.'}),
  prepare: async () => ({start: () => ({startedAtMs: performance.now(), stop: () => {}})}),
  say: async () => {},
  close: async () => {},
};

const keepAwake = async (): Promise<() => void> => {
  const awake = await (await import('../../adapters/awake/keep-awake.js')).keepAwake();
  if (awake.warning) throw new Error(awake.warning);
  return () => void awake.release();
};

/** A measurer whose thread starts when there is time for it. */
const measurerAfter = (ready: Promise<void>): Measurer => {
  const measurer = openMeasurer();
  return {...measurer, usePlates: folder => ready.then(() => measurer.usePlates(folder))};
};

/**
 * Opens the screens on a shoot and stays until the person leaves.
 * @param shoot the shoot's folder; made where it isn't there
 * @throws UsageFault where input or output is no terminal or an option is wrong, RigFault where the rig file is, ShootFault where the folder can't be used
 */
export const openScreens = async (shoot: string | undefined, options: ScreensOptions): Promise<void> => {
  const {stdin, stdout} = process;
  const rigs = options.rig === undefined ? null : await import('./rig-file.js');
  const rig = (await rigs?.readRigFile(options.rig!)) ?? null;
  if (!stdin.isTTY || !stdout.isTTY) throw new UsageFault(notATerminal);
  const folder = path.resolve(shoot ?? todaysFolder());
  const choice = await chooseCamera(options, folder);
  const earlier = options.from === undefined ? null : await import('./from-shoot.js');
  const old = (await earlier?.readOldShoot(options.from!)) ?? null;
  // What is not on the first screen waits for it: camera, threads and helpers take the time that it needs.
  let drawn = (): void => {};
  const first = new Promise<void>(resolve => {
    drawn = resolve;
  });
  const sound = options.sound ? lateSound(first, () => openHeard(options, choice.speed)) : silence;
  const measurer = measurerAfter(first);
  const session = await openSession({
    folder,
    program: programName,
    cameras: {open: () => first.then(choice.source.open)},
    get room() {
      return choice.room();
    },
    sound,
    clock: choice.clock,
    speed: choice.speed,
    measurer,
    judge,
    roomCheck: true,
    planWrap: async order => (await import('../wrap/plan-wrap.js')).planWrap(order),
    wrapUp: async input => (await import('../wrap/wrap-up.js')).wrapUp(input),
    comparePlates: async (...plates) => (await import('./from-shoot.js')).compareWithOldShoot(...plates),
    keepAwake: () => first.then(keepAwake),
  }).catch(async error => {
    await Promise.all([measurer.close(), sound.close()]);
    throw error;
  });
  try {
    if (old) earlier?.startFrom(session, old);
    if (rig) rigs?.setRig(session, rig);
  } catch (error) {
    drawn();
    await session.close();
    throw error;
  }
  await startScreen({session, stdout, stdin, environment: process.env, view, drawn}).done;
  stdout.write(`The shoot is in ${plainText(folder)}\n`);
  // Whatever still holds the loop (a stuck device, a driver) must not keep the terminal.
  process.exit(process.exitCode ?? 0);
};

const openHeard = async ({volume, voice}: ScreensOptions, speed: number): Promise<Sound> => {
  const {openSound} = await import('../../adapters/sound/open-sound.js');
  return openSound({volume: volume / 100, speech: voice, speed, ring: () => process.stdout.write('\u0007')});
};

const view = async (file: string): Promise<string | null> =>
  (await import('../../adapters/view/open-in-viewer.js')).openInViewer(file);
