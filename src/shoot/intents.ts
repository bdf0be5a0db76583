import {homedir} from 'node:os';
import path from 'node:path';
import {cueSheetSchema} from '../../shared/cues.js';
import {type Exposure, exposureSchema, printExposure} from '../../shared/exposure.js';
import {limitsSchema, markSchema, plateNameSchema} from '../../shared/journal.js';
import {rigSchema} from '../../shared/rig.js';
import {zonesSchema} from '../../shared/zones.js';
import {cueTrouble} from './cue-rules.js';
import type {Desk} from './desk.js';
import {measureAgain, plate, probe, recover, singleAttempt, wrap} from './jobs.js';
import type {Preflighting} from './preflighting.js';
import type {Intent} from './state.js';
import {counted} from './units.js';
import type {Job} from './workbench.js';

/** A word that can't be done; one sentence for a person. It becomes a message and nothing else happens. */
export class IntentFault extends Error {
  override name = 'IntentFault';
}

export type IntentTools = {
  desk: Desk;
  preflighting: Preflighting;
  busy(): boolean;
  /** Starts a job, or says that something else runs. */
  start(job: Job): void;
  /** What the wrap place has chosen. */
  wrapChoice: {destination: string | null; maybeToo: boolean} | null;
};

const attemptFound = ({desk}: IntentTools, number: number): number => {
  if (!desk.state().shoot.attempts.some(attempt => attempt.number === number)) {
    throw new IntentFault(`There is no attempt ${number}.`);
  }
  return number;
};

const checked = <Value>(
  schema: {safeParse(value: unknown): {success: true; data: Value} | {success: false}},
  value: unknown,
  what: string,
): Value => {
  const parsed = schema.safeParse(value);
  if (!parsed.success) throw new IntentFault(`${what} is outside what is possible; it stays as it was.`);
  return parsed.data;
};

/** Does what one intent asks; "go on" and "stop" are the session's own. */
export const doIntent = async (
  tools: IntentTools,
  intent: Exclude<Intent, {kind: 'go on'} | {kind: 'stop'}>,
): Promise<void> => {
  const {desk, preflighting, start} = tools;
  switch (intent.kind) {
    case 'start from':
      await desk.append({kind: 'started-from', folder: intent.folder});
      return;
    case 'set exposure':
      return setExposure(tools, intent.change);
    case 'set rig':
      await desk.append({kind: 'rig-set', rig: checked(rigSchema, intent.rig, 'The rig')});
      return;
    case 'set room level': {
      const {roomEv100, how} = intent;
      if (roomEv100 !== null && !(Math.abs(roomEv100) <= 40))
        throw new IntentFault('A room has between −40 and 40 EV; it stays as it was.');
      await desk.append({kind: 'room-level-set', roomEv100, how});
      return;
    }
    case 'probe the room':
      return start(probe(desk));
    case 'set zones':
      await desk.append({kind: 'zones-set', zones: checked(zonesSchema, intent.zones, 'The face ellipse')});
      desk.change({proposedZones: null});
      return;
    case 'set cues': {
      const cues = checked(cueSheetSchema, intent.cues, 'The cue sheet');
      const trouble = cueTrouble(cues);
      if (trouble) throw new IntentFault(trouble);
      await desk.append({kind: 'cues-set', cues});
      return;
    }
    case 'set limits':
      await desk.append({kind: 'limits-set', limits: checked(limitsSchema, intent.limits, 'A limit')});
      return;
    case 'focus':
      return focus(tools, intent.step);
    case 'take plate':
      return start(plate(desk, checked(plateNameSchema, intent.plate, 'The plate')));
    case 'begin attempt':
      return preflighting.begin(singleAttempt);
    case 'begin series':
      return beginSeries(tools, intent);
    case 'set room check':
      desk.change({roomCheck: intent.on});
      return;
    case 'mark': {
      const mark = intent.mark === null ? null : checked(markSchema, intent.mark, 'The mark');
      await desk.append({kind: 'marked', attempt: attemptFound(tools, intent.attempt), mark});
      return;
    }
    case 'note': {
      const text = intent.text.trim();
      if (text === '') return;
      if (text.length > 2000) throw new IntentFault('A note may have 2000 characters; shorten it.');
      await desk.append({kind: 'noted', attempt: attemptFound(tools, intent.attempt), text});
      return;
    }
    case 'measure again':
      return start(measureAgain(desk, attemptFound(tools, intent.attempt)));
    case 'look for lost frames':
      return start(recover(desk, {all: true, sinceMs: null}));
    case 'plan wrap':
      return planWrap(tools, intent);
    case 'wrap':
      if (!tools.wrapChoice) return planWrap(tools, {folder: null, maybeToo: false});
      return start(wrap(desk, tools.wrapChoice));
  }
};

const setExposure = async ({desk, busy}: IntentTools, change: Partial<Exposure>): Promise<void> => {
  const {shoot, camera} = desk.state();
  const wanted = checked(exposureSchema, {...shoot.exposure, ...change}, 'That exposure');
  if (busy()) throw new IntentFault('The exposure can be changed when nothing is running; stop first.');
  if (camera.kind === 'connected' && camera.status.can.setExposure) {
    // What the camera has made of it counts: dials have steps.
    const {exposure} = await desk.camera().set(wanted);
    await desk.append({kind: 'exposure-set', exposure: exposure ?? wanted});
    return;
  }
  await desk.append({kind: 'exposure-set', exposure: wanted});
  if (camera.kind === 'connected') desk.say(`Set ${printExposure(wanted)} on the camera by hand.`);
};

const focus = async ({desk, busy}: IntentTools, step: 'drive' | 'lock'): Promise<void> => {
  if (busy()) throw new IntentFault('The focus can be changed when nothing is running; stop first.');
  await desk.camera().focus(step);
  if (step === 'lock') await desk.append({kind: 'focus-locked', how: 'by the camera'});
  await desk.link.refresh();
  desk.say(step === 'lock' ? 'The focus is locked.' : 'The camera has focused; lock it when it is sharp.');
};

const MOST_IN_A_SERIES = 999;

const beginSeries = async (
  {preflighting}: IntentTools,
  {count, pauseSeconds, untilPassed}: Extract<Intent, {kind: 'begin series'}>,
): Promise<void> => {
  if (!(Number.isInteger(count) && count >= 1 && count <= MOST_IN_A_SERIES)) {
    throw new IntentFault(`A series has 1 to ${MOST_IN_A_SERIES} attempts.`);
  }
  if (!(pauseSeconds >= 0 && pauseSeconds <= 3600)) throw new IntentFault('The pause of a series is 0 to 3600 s.');
  await preflighting.begin({count, pauseSeconds, untilPassed, series: true});
};

const planWrap = async (
  tools: IntentTools,
  {folder, maybeToo}: {folder: string | null; maybeToo: boolean},
): Promise<void> => {
  const {desk} = tools;
  // Typed into the screen, where no shell makes a home folder of the tilde.
  const destination = folder === null ? null : path.resolve(folder.replace(/^~(?=$|[/\\])/, homedir()));
  const order = {shoot: desk.state().shoot, shootFolder: desk.folder, destination, maybeToo};
  tools.wrapChoice = null;
  desk.change({wrapPlan: null});
  const {files, bytes, folder: own} = await desk.deps.planWrap(order);
  tools.wrapChoice = {destination, maybeToo};
  desk.change({wrapPlan: {files, folder: own, destination, bytes}});
  desk.say(`${counted(files.length, 'file')} to hand off, with sidecars, contact sheet, set-up sheet and readings.`);
};
