import path from 'node:path';
import type {PlateName} from '../../shared/journal.js';
import {passes} from '../judge/judge.js';
import {spokenVerdict} from '../judge/spoken.js';
import {type AttemptOutcome, measureAttempt, runAttempt} from './attempt.js';
import {type Desk, sentenceOf} from './desk.js';
import {freeBytes} from './disk.js';
import {heatWords} from './heat.js';
import {safePath} from './names.js';
import {wantedPlates} from './plate-names.js';
import {PLATES, takePlate} from './plates.js';
import {preflight} from './preflight.js';
import {takeProbe} from './probe.js';
import {journalingProbes} from './probe-journal.js';
import {lacksFrames, recoverFrames, unfinished} from './recover.js';
import type {Activity, PreflightItem} from './state.js';
import {counted} from './units.js';
import type {Hands, Job} from './workbench.js';

/** How often, how far apart and until when attempts follow each other. */
export type SeriesOrder = {count: number; pauseSeconds: number; untilPassed: boolean; series: boolean};

export const singleAttempt: SeriesOrder = {count: 1, pauseSeconds: 0, untilPassed: false, series: false};

/** The list as it stands now. @param answered whether the sitter has said that all told items are so */
export const preflightNow = async (desk: Desk, answered: boolean): Promise<PreflightItem[]> => {
  const {shoot, camera} = desk.state();
  const facts = {shoot, camera, freeDiskBytes: await freeBytes(desk.folder), nowMs: desk.now().getTime()};
  const items = preflight({...facts, told: new Set()});
  return items.map(item => (answered && item.by === 'told' ? {...item, state: 'ok'} : item));
};

/** Attempts one after another until the series' end; each is measured, judged and spoken. */
export const attempts =
  (desk: Desk, {count, pauseSeconds, untilPassed, series}: SeriesOrder): Job =>
  async hands => {
    for (let done = 1; done <= count; done++) {
      const attempt = (desk.state().shoot.attempts.at(-1)?.number ?? 0) + 1;
      const outcome = await runAttempt(desk.kit(), {
        attempt,
        items: await preflightNow(desk, true),
        series,
        roomCheck: desk.state().roomCheck === true && canProbe(desk),
        hold: hands.goneOn,
        // Once the room was dark the frames themselves tell when it no longer is.
        roomSeen: isDark => {
          if (isDark) desk.change({roomCheck: false});
        },
        signals: hands.signals,
      });
      tell(desk, attempt, outcome);
      if (outcome.kind === 'stopped') return;
      await speak(desk, hands, attempt, outcome);
      if (untilPassed && outcome.kind === 'measured' && passes(outcome.reading.checks)) {
        desk.say(`Attempt ${attempt} passes every check; the series ends here.`);
        return;
      }
      if (done < count) await rest(desk, hands, {attempt, done, wanted: count, pauseSeconds});
    }
  };

const canProbe = (desk: Desk): boolean => {
  const {camera} = desk.state();
  return camera.kind === 'connected' && camera.status.can.probe;
};

/** What is said about an attempt that has ended, and the picture of it. */
const tell = (desk: Desk, attempt: number, outcome: AttemptOutcome): void => {
  showPictureOf(desk, attempt);
  if (outcome.kind === 'stopped') {
    desk.complain(outcome.cause);
    desk.say(`Attempt ${attempt} was stopped in the ${outcome.during}: ${outcome.why}`, !isStop(outcome));
  } else if (outcome.kind === 'unmeasured') {
    desk.say(`Attempt ${attempt} could not be measured: ${outcome.why}`, true);
  } else if (outcome.troubles.length > 0) {
    desk.say(`Attempt ${attempt} is measured, but: ${sentenceOf(outcome.troubles[0])}`, true);
  } else {
    // The advice stands on the screen anyway; it is spoken with the verdict.
    desk.say(spokenVerdict(outcome.reading.checks, []));
  }
};

const isStop = (outcome: Extract<AttemptOutcome, {kind: 'stopped'}>): boolean =>
  outcome.cause instanceof Error && outcome.cause.name === 'StopAsked';

/** Puts the attempt's picture on the screen, if it has one. */
export const showPictureOf = (desk: Desk, attempt: number): void => {
  const files = desk.state().shoot.attempts.findLast(({number}) => number === attempt)?.files ?? [];
  const file = files.find(({kind}) => kind === 'jpeg') ?? files[0];
  if (file) desk.change({pictureFile: safePath(desk.folder, file.path)});
};

/** Says the verdict aloud; going on cuts it short. */
const speak = async (desk: Desk, hands: Hands, attempt: number, outcome: AttemptOutcome): Promise<void> => {
  const verdict =
    outcome.kind === 'measured'
      ? spokenVerdict(outcome.reading.checks, outcome.reading.advice)
      : 'The frame is here but could not be measured.';
  const heat = heatWords(desk.state().shoot, desk.now().getTime());
  const say = heat ? `${verdict} Let the flashes rest.` : verdict;
  desk.show({kind: 'speaking', attempt, say});
  await hands.orGoneOn(desk.deps.sound.say(say).catch(() => undefined));
};

/** The pause of a series, on the mark; going on ends it. */
const rest = async (
  {deps, show}: Desk,
  hands: Hands,
  {attempt, done, wanted, pauseSeconds}: {attempt: number; done: number; wanted: number; pauseSeconds: number},
): Promise<void> => {
  const nextAtMs = deps.clock.now() + pauseSeconds * 1000;
  show({kind: 'between', attempt, nextAtMs, done, wanted});
  const over = new AbortController();
  try {
    await hands.orGoneOn(deps.clock.until(nextAtMs, over.signal).catch(() => undefined));
  } finally {
    over.abort();
  }
};

/** Takes one plate; after the last one the face is guessed from it. */
export const plate =
  (desk: Desk, name: PlateName): Job =>
  async hands => {
    await ensureExposure(desk);
    const files = await takePlate(desk.kit(), name, hands.signals);
    const file = files.find(({kind}) => kind === 'jpeg') ?? files[0]!;
    desk.change({pictureFile: safePath(desk.folder, file.path)});
    await loadPlates(desk);
    desk.say(`The ${name} plate is taken.`);
    const {shoot, proposedZones} = desk.state();
    const complete = wantedPlates(shoot.rig).every(wanted => shoot.plates.some(taken => taken.plate === wanted));
    if (complete && !shoot.zones && !proposedZones) await guessFace(desk)(hands);
    if (complete) await compareWithLastTime(desk);
  };

/** Says what is not as it was when the rig of an earlier shoot was built again. */
const compareWithLastTime = async ({deps, folder, state, say}: Desk): Promise<void> => {
  const {shoot, proposedZones} = state();
  const {startedFrom} = shoot;
  if (!deps.comparePlates || startedFrom === undefined) return;
  say("The plates are held against last time's.");
  try {
    const zones = shoot.zones ?? proposedZones;
    say((await deps.comparePlates({...shoot, zones}, folder, startedFrom)).join(' '));
  } catch (error) {
    say(`The plates could not be held against last time's: ${sentenceOf(error)}`, true);
  }
};

/** Sets the camera to the planned exposure where it can be set and isn't. */
export const ensureExposure = async (desk: Desk): Promise<void> => {
  const {camera, shoot} = desk.state();
  if (camera.kind !== 'connected' || !camera.status.can.setExposure) return;
  const {exposure} = camera.status;
  const {shutterSeconds, fNumber, iso} = shoot.exposure;
  if (exposure?.shutterSeconds === shutterSeconds && exposure.fNumber === fNumber && exposure.iso === iso) return;
  await desk.camera().set(shoot.exposure);
};

/** Lets the measurer load the plates that the shoot has. */
export const loadPlates = async ({deps, folder, state, say}: Desk): Promise<void> => {
  const plates = state().shoot.plates.length > 0 ? path.join(folder, PLATES) : null;
  const complain = (error: unknown): void => say(`The plates can't be used: ${sentenceOf(error)}`, true);
  await deps.measurer.usePlates(plates).catch(complain);
};

/** A first guess of the face, from the plate of the sitter or else of the last light. */
export const guessFace =
  (desk: Desk): Job =>
  async () => {
    const {plates} = desk.state().shoot;
    const lit = plates.find(({plate}) => plate === 'sitter') ?? plates.findLast(({plate}) => plate !== 'dark');
    const file = lit?.files.find(({kind}) => kind === 'jpeg') ?? lit?.files[0];
    try {
      if (!file) throw new Error('there is no lit plate yet');
      const picture = safePath(desk.folder, file.path);
      desk.change({proposedZones: await desk.deps.measurer.guessZones(picture), pictureFile: picture});
    } catch (error) {
      desk.change({proposedZones: {face: {cx: 0.5, cy: 0.42, rx: 0.08, ry: 0.16}}});
      desk.say(`The face was not found (${sentenceOf(error)}); move the ellipse onto it.`, true);
    }
  };

/** Measures the room's light with a probe, for the plan. */
export const probe =
  (desk: Desk): Job =>
  async ({signals}) => {
    const {exposure, rig, zones} = desk.state().shoot;
    desk.show({kind: 'measuring', subject: {kind: 'probe'}});
    const {room} = await takeProbe(journalingProbes(desk.kit(), null), {exposure, rig, zones}, signals.stop);
    if (!room) {
      desk.say('The probe found nothing to measure; is the lens cap off?', true);
      return;
    }
    const roomEv100 = Math.round(room.roomEv100 * 100) / 100;
    await desk.append({kind: 'room-level-set', roomEv100, how: room.darkerThan ? 'probe, at most' : 'probe'});
    desk.say(room.say);
  };

/** Measures an attempt's frame once more, with the plates, face and limits of now. */
export const measureAgain =
  (desk: Desk, attempt: number): Job =>
  async ({signals}) => {
    desk.show({kind: 'measuring', subject: {kind: 'attempt', attempt}});
    const {folder: shootFolder, append, state} = desk;
    const {measurer, judge} = desk.deps;
    const kit = {shootFolder, append, shoot: () => state().shoot, measurer, judge};
    const outcome = await measureAttempt(kit, attempt, signals.stop);
    tell(desk, attempt, {...outcome, troubles: []});
  };

/**
 * Looks on the camera for frames that the shoot lacks.
 * @param all also for attempts that were looked for in vain before
 * @param sinceMs also for frames made by hand since then, epoch milliseconds
 * @param preface what stands on the screen and must not be lost
 */
export const recover =
  (desk: Desk, {all, sinceMs, preface = ''}: {all: boolean; sinceMs: number | null; preface?: string}): Job =>
  async ({signals}) => {
    const {shoot} = desk.state();
    const lacking = all ? shoot.attempts.filter(lacksFrames) : unfinished(shoot);
    const starts = lacking.map(({at}) => Date.parse(at)).filter(Number.isFinite);
    const from = Math.min(...starts, ...(sinceMs === null ? [] : [sinceMs]));
    if (!Number.isFinite(from)) {
      if (all) desk.say('No attempt lacks its frame.');
      return;
    }
    desk.show(lookingFor(lacking.at(-1)?.number));
    const found = await recoverFrames(desk.kit(), {lacking, sinceMs: from, nowMs: desk.now().getTime()}, signals.stop);
    const newest = found.attempts.at(-1);
    if (newest !== undefined) showPictureOf(desk, newest);
    const say = [preface, found.say ?? ''].filter(text => text !== '').join(' ');
    if (say) desk.say(say, found.missing.length > 0 || preface !== '');
    else if (all) desk.say('No lost frame is on the camera.');
  };

const lookingFor = (attempt: number | undefined): Activity => ({
  kind: 'waiting for a file',
  subject: attempt === undefined ? {kind: 'probe'} : {kind: 'attempt', attempt},
  say: 'Looking on the camera for frames that are not here yet.',
});

/** Hands off what was chosen in the wrap plan. */
export const wrap =
  (desk: Desk, {destination, maybeToo}: {destination: string | null; maybeToo: boolean}): Job =>
  async ({signals}) => {
    const {shoot, wrapPlan} = desk.state();
    desk.show({kind: 'wrapping', files: 0, of: wrapPlan?.files.length ?? 0, file: ''});
    const {folder, files} = await desk.deps.wrapUp({
      shoot,
      shootFolder: desk.folder,
      destination,
      maybeToo,
      progress: (done, of, file) => desk.show({kind: 'wrapping', files: done, of, file}),
      signal: signals.stop,
    });
    await desk.append({kind: 'wrapped', folder, files});
    desk.change({wrapPlan: null});
    desk.say(`${counted(files.length, 'file')} handed off and checked, in ${folder}`);
  };
