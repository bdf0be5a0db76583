import {CameraFault} from '../../shared/camera.js';
import type {CueSheet} from '../../shared/cues.js';
import type {JournalEvent, ShootFile} from '../../shared/journal.js';
import {type Reading, readingSchema} from '../../shared/reading.js';
import type {Measurer} from '../frame/measurer.js';
import type {Judge} from '../judge/contract.js';
import {SleptFault} from './cue-clock.js';
import {announce, arrangement, countDown, type Exposing, openShutter, pullAll, type StopSignals} from './exposing.js';
import {knownFiles} from './fold.js';
import {JournalFault} from './journal.js';
import {safePath} from './names.js';
import type {OpenShoot} from './open-shoot.js';
import {plainDeep} from './plain-deep.js';
import {gate} from './preflight.js';
import {journalingProbes} from './probe-journal.js';
import {checkRoom} from './room-check.js';
import type {PreflightItem, Shoot} from './state.js';
import {StopAsked, untilAborted} from './stopping.js';

/** What an attempt is made with. */
export type AttemptKit = Exposing & Pick<OpenShoot, 'append' | 'shoot'> & {measurer: Measurer; judge: Judge};

export type AttemptOrder = {
  attempt: number;
  items: PreflightItem[];
  series: boolean;
  /** Whether to probe the room after lights out and wait before opening. */
  roomCheck: boolean;
  /** Resolves at the person's word to open, after a room check. */
  hold(): Promise<void>;
  /** Told what the room check found, before it holds. */
  roomSeen?(isDark: boolean): void;
  signals: StopSignals;
};

export type AttemptOutcome =
  | {kind: 'measured'; reading: Reading; troubles: unknown[]}
  | {kind: 'unmeasured'; why: string; troubles: unknown[]}
  | {kind: 'stopped'; during: StoppedDuring; why: string; cause: unknown; troubles: unknown[]};

type StoppedDuring = Extract<JournalEvent, {kind: 'attempt-stopped'}>['during'];

/**
 * One attempt, from the countdown to its verdict; nothing else opens the shutter for one. Every step is in the journal
 * before the next begins, so that a stop, a fault or a lost program at any instant leaves a true record. The exposure and
 * cues are the shoot's own.
 * @throws PreflightFault before anything is begun; JournalFault when the journal can't be written
 */
export const runAttempt = async (kit: AttemptKit, order: AttemptOrder): Promise<AttemptOutcome> => {
  const {attempt, items, series, signals} = order;
  const {exposure, cues, rig} = kit.shoot();
  const subject = {kind: 'attempt', attempt} as const;
  const troubles: unknown[] = [];
  let during: StoppedDuring = 'countdown';

  const told = gate(items);
  announce(kit, subject, cues);
  await kit.append({kind: 'attempt-begun', attempt, exposure, cues, told, series});
  try {
    let sheet: CueSheet = cues;
    if (order.roomCheck) {
      during = 'room check';
      sheet = await checkRoom(journalingProbes(kit, attempt), order);
    }

    during = 'countdown';
    const running = await countDown(kit, subject, sheet, exposure.shutterSeconds, signals.stop);
    kit.room?.arrange(arrangement(rig, cues, {firing: 'all', sitter: true, painting: true}));

    during = 'exposure';
    const shutter = shutterJournal(kit, attempt);
    const {frames, cutShort} = await openShutter(kit, subject, exposure.shutterSeconds, running, signals.stop, shutter);
    await shutter.written();
    // An exposure that was cut short may still leave a frame that the camera has not told of; it is looked for later.
    if (!cutShort || frames.length > 0) await kit.append({kind: 'frames-made', attempt, frames});

    if (!cutShort) during = 'pull';
    // After a stop the frame that exists is still kept; only a second stop leaves it on the camera.
    const pulling = cutShort ? signals.now : signals.stop;
    const files: ShootFile[] = [];
    const place = {into: attemptFolder(attempt), known: pathsOf(kit.shoot())};
    const missed = await pullAll(kit, subject, frames, place, pulling, async file => {
      await kit.append({kind: 'frame-pulled', attempt, file});
      files.push(file);
    });
    troubles.push(...missed);
    if (cutShort) throw cutShort;
    if (files.length === 0) throw new CameraFault('lost', 'The exposure left no frame on the camera.');

    during = 'measuring';
    kit.show({kind: 'measuring', subject});
    return {...(await measureAttempt(kit, attempt, signals.stop)), troubles};
  } catch (error) {
    if (error instanceof JournalFault) throw error;
    const why = whyStopped(error);
    await kit.append({kind: 'attempt-stopped', attempt, during, why});
    return {kind: 'stopped', during, why, cause: error, troubles};
  }
};

/** "attempts/007" */
export const attemptFolder = (attempt: number): string => `attempts/${String(attempt).padStart(3, '0')}`;

const pathsOf = (shoot: Shoot): ReadonlySet<string> => new Set(knownFiles(shoot).map(({path}) => path));

/**
 * Journals the opening and closing without holding up the camera. The order is the journal's own; a failure is told when
 * the exposure is over, so that the shutter closes properly first.
 */
const shutterJournal = ({append}: AttemptKit, attempt: number) => {
  const writing: Promise<unknown>[] = [];
  const write = (event: JournalEvent): void => {
    const done = append(event);
    done.catch(() => undefined);
    writing.push(done);
  };
  return {
    opened: () => write({kind: 'shutter-opened', attempt}),
    closed: (openSeconds: number) => write({kind: 'shutter-closed', attempt, openSeconds}),
    written: () => Promise.all(writing),
  };
};

/**
 * Measures and judges the attempt's best file and journals what came out.
 * @throws the stop's reason; the measuring then goes on unheard and is made again when asked
 */
export const measureAttempt = async (
  kit: Pick<AttemptKit, 'append' | 'shoot' | 'shootFolder' | 'measurer' | 'judge'>,
  attempt: number,
  stop: AbortSignal,
): Promise<{kind: 'measured'; reading: Reading} | {kind: 'unmeasured'; why: string}> => {
  const {append, shoot, shootFolder, measurer, judge} = kit;
  const {attempts, zones, limits, plates} = shoot();
  const at = attempts.findIndex(({number}) => number === attempt);
  const {files, rig, exposure, changes} = attempts[at]!;
  const unmeasured = async (why: string) => {
    await append({kind: 'unmeasured', attempt, why});
    return {kind: 'unmeasured', why} as const;
  };

  const file = files.find(({kind}) => kind === 'jpeg') ?? files.find(({kind}) => kind === 'raw') ?? files[0];
  if (!file) return unmeasured('No frame was pulled.');
  try {
    const measurement = await untilAborted(measurer.measure(safePath(shootFolder, file.path), zones), stop);
    const earlier = attempts
      .slice(Math.max(0, at - EARLIER_JUDGED), at)
      .flatMap(({number, reading, changes}) => (reading ? [{attempt: number, reading, changes}] : []));
    const origins = plates.map(({plate, rig: withRig, exposure}) => ({plate, rig: withRig ?? rig, exposure}));
    const verdict = judge({measurement, limits, rig, exposure, changes, earlier, zones, plates: origins});
    const reading = readingSchema.parse(plainDeep({...measurement, ...verdict}));
    await append({kind: 'measured', attempt, reading});
    return {kind: 'measured', reading};
  } catch (error) {
    if (stop.aborted || error instanceof JournalFault) throw error;
    return unmeasured(error instanceof Error ? error.message : String(error));
  }
};

/** How many attempts back the judge looks; more would have to be read again from the journal. */
const EARLIER_JUDGED = 200;

const whyStopped = (error: unknown): string => {
  if (error instanceof StopAsked || error instanceof SleptFault || error instanceof Error) return error.message;
  return 'Stopped.';
};
