import type {CameraStatus} from '../../shared/camera.js';
import type {CueSheet} from '../../shared/cues.js';
import type {Exposure} from '../../shared/exposure.js';
import {ev100} from '../light/exposure.js';
import {printPower} from '../light/power.js';
import {roomLevelEv} from '../light/room.js';
import {printLevel, printSettings} from '../light/words.js';
import {cueTrouble, flashOutsideExposure} from './cue-rules.js';
import {expectedBytes} from './expected-bytes.js';
import {heatWords} from './heat.js';
import {wantedPlates} from './plate-names.js';
import type {CameraLink, PreflightItem, Shoot} from './state.js';
import {byteSize} from './units.js';

/** The preflight does not allow an attempt; one sentence for a person. */
export class PreflightFault extends Error {
  override name = 'PreflightFault';
}

/** Everything the list is made from. */
export type PreflightFacts = {
  shoot: Shoot;
  camera: CameraLink;
  /** null where the system doesn't tell. */
  freeDiskBytes: number | null;
  /** Ids of told items that the sitter has answered for. */
  told: ReadonlySet<string>;
  /** Wall-clock time now, epoch milliseconds, for the flashes' rest. */
  nowMs: number;
};

/** The list before every attempt: what the program reads, then what only the sitter can say. */
export const preflight = (facts: PreflightFacts): PreflightItem[] => [...watchedItems(facts), ...toldItems(facts)];

/** Whether nothing that is watched has failed. Told items are answered by going on. */
export const isReady = (items: PreflightItem[]): boolean => items.every(({state}) => state !== 'fail');

/**
 * Lets an attempt through.
 * @returns what the sitter answered for, for the journal
 * @throws PreflightFault naming the first item that doesn't hold
 */
export const gate = (items: PreflightItem[]): string[] => {
  const bad = items.find(({state}) => state === 'fail' || state === 'open');
  if (bad) throw new PreflightFault(`Not ready: ${bad.say}${bad.fix ? ` ${bad.fix}` : ''}`);
  return items.filter(({by}) => by === 'told').map(({say}) => say);
};

type Finding = Pick<PreflightItem, 'state' | 'say' | 'fix'>;
const ok = (say: string): Finding => ({state: 'ok', say, fix: null});
const watch = (say: string, fix: string): Finding => ({state: 'watch', say, fix});
const fail = (say: string, fix: string): Finding => ({state: 'fail', say, fix});

const watchedItems = (facts: PreflightFacts): PreflightItem[] => {
  const {camera, shoot} = facts;
  if (camera.kind === 'lost') {
    return [watched('camera', fail('No camera is connected.', camera.say)), watched('disk', disk(facts))];
  }
  const {status} = camera;
  return [
    watched('camera', cameraItem(status)),
    watched('exposure', exposureItem(shoot.exposure, status)),
    watched('focus', focusItem(shoot, status)),
    watched('format', formatItem(status)),
    watched('battery', batteryItem(status)),
    watched('card', cardItem(shoot, status)),
    watched('disk', disk(facts)),
    watched('clock', clockItem(status)),
    watched('plates', platesItem(shoot)),
    watched('face', faceItem(shoot)),
    watched('room', roomItem(shoot)),
    watched('cues', cuesItem(shoot.cues, shoot.exposure)),
    watched('heat', heatItem(facts)),
  ].filter(({say}) => say !== '');
};

const watched = (id: string, finding: Finding): PreflightItem => ({id, by: 'watched', ...finding});

const cameraItem = ({can, notes}: CameraStatus): Finding => {
  if (!can.openShutter) {
    return watch(
      'The camera is connected by its files only.',
      'Have its remote or self-timer ready: you open the shutter.',
    );
  }
  return ok(notes[0] ?? 'The camera answers.');
};

/** Marked settings are rounded: two that are this near are the same. */
const SAME_STOPS = 0.17;

const exposureItem = (planned: Exposure, {exposure, can}: CameraStatus): Finding => {
  if (!exposure)
    return watch(`Planned is ${printSettings(planned)}; the camera does not tell its own.`, 'Check its dials.');
  const near = (one: number, other: number): boolean => Math.abs(Math.log2(one / other)) < SAME_STOPS;
  const same =
    near(exposure.shutterSeconds, planned.shutterSeconds) &&
    near(exposure.fNumber, planned.fNumber) &&
    near(exposure.iso, planned.iso);
  if (same) return ok(`${printSettings(planned)}, as planned.`);
  const say = `The camera is at ${printSettings(exposure)}, planned is ${printSettings(planned)}.`;
  return fail(say, can.setExposure ? 'Go on sets it.' : 'Set it on the camera.');
};

const focusItem = ({focusLocked}: Shoot, status: CameraStatus): Finding => {
  if (status.focusLocked || status.focusMode === 'manual') return ok('The focus is manual or locked.');
  if (status.focusMode === 'auto') {
    const fix = 'In the dark it would hunt: focus on a light at the mark and lock it.';
    return fail('The focus is automatic.', fix);
  }
  if (focusLocked) return ok('The focus was locked, as you said.');
  return watch('The camera does not tell its focus.', 'Make sure that it is manual and on the mark.');
};

const formatItem = ({format}: CameraStatus): Finding => {
  if (format === 'jpeg' || format === 'raw+jpeg')
    return ok(format === 'jpeg' ? 'It writes JPEG.' : 'It writes RAW and JPEG.');
  if (format === 'unknown') return watch('The camera does not tell its format.', 'A JPEG is measured fastest.');
  return watch('It writes no JPEG.', 'Set RAW and JPEG: a RAW file is measured by its preview only.');
};

const batteryItem = ({batteryPercent}: CameraStatus): Finding => {
  if (batteryPercent === null) return watch('The camera does not tell its battery.', 'Look at it.');
  const say = `Battery ${Math.round(batteryPercent)} %.`;
  if (batteryPercent < 5) return fail(say, 'Change it now.');
  return batteryPercent < 20 ? watch(say, 'Change it soon.') : ok(say);
};

const cardItem = (shoot: Shoot, {freeBytes, freeFrames}: CameraStatus): Finding => {
  const frames = freeFrames ?? (freeBytes === null ? null : Math.floor(freeBytes / expectedBytes(shoot)));
  if (frames === null) return ok('');
  const say = `Room for ${Math.floor(frames)} more on the card.`;
  if (frames < 1) return fail('The card is full.', 'Put in an empty one.');
  return frames < 20 ? watch(say, 'Have another card ready.') : ok(say);
};

const disk = ({shoot, freeDiskBytes}: PreflightFacts): Finding => {
  if (freeDiskBytes === null) return ok('');
  const each = expectedBytes(shoot);
  const say = `${byteSize(freeDiskBytes)} free on the disk, about ${byteSize(each)} an attempt.`;
  if (freeDiskBytes < 2 * each) return fail(say, 'Free some space first.');
  return freeDiskBytes < 20 * each ? watch(say, 'Free some space soon.') : ok(say);
};

const clockItem = ({clockDifferenceSeconds}: CameraStatus): Finding => {
  if (clockDifferenceSeconds === null || Math.abs(clockDifferenceSeconds) < 60) return ok('');
  const minutes = Math.round(Math.abs(clockDifferenceSeconds) / 60);
  const way = clockDifferenceSeconds > 0 ? 'ahead of' : 'behind';
  return watch(
    `The camera's clock is ${minutes} min ${way} the computer's.`,
    'Set it, so that lost frames are found by time.',
  );
};

const platesItem = (shoot: Shoot): Finding => {
  const missing = wantedPlates(shoot.rig).filter(plate => !shoot.plates.some(taken => taken.plate === plate));
  if (missing.length > 0) {
    return watch(`No plate yet: ${missing.join(', ')}.`, 'Without it less can be measured.');
  }
  const other = shoot.plates.find(
    ({exposure}) => exposure && Math.abs(ev100(exposure) - ev100(shoot.exposure)) > SAME_STOPS,
  );
  if (other) return watch(`The ${other.plate} plate has another exposure.`, 'Take the plates again when you can.');
  return ok('All plates are there.');
};

const faceItem = ({zones}: Shoot): Finding =>
  zones ? ok('The face is marked on the picture.') : watch('The face is not marked.', 'Mark it in Plates.');

/** How far the room may rise over its plan before it is worth a look, EV. */
const ROOM_RISE_EV = 1;

const roomItem = ({attempts, roomEv100, exposure}: Shoot): Finding => {
  const last = attempts.findLast(({reading}) => reading !== null);
  const levelEv = last?.reading?.ambient.levelEv ?? null;
  if (roomEv100 === null) {
    if (last && levelEv !== null) return ok(`The room was at ${printLevel(levelEv)} in attempt ${last.number}.`);
    return watch('The room was not measured.', 'Measure it in Plan, by a meter or a probe.');
  }
  const plannedEv = roomLevelEv(roomEv100, exposure);
  if (last && levelEv !== null && levelEv > plannedEv + ROOM_RISE_EV) {
    const say = `The room was at ${printLevel(levelEv)} in attempt ${last.number}, planned is ${printLevel(plannedEv)}.`;
    return watch(say, 'Look for a light that is on.');
  }
  return ok(`The room falls to ${printLevel(plannedEv)}, as planned.`);
};

const cuesItem = (cues: CueSheet, {shutterSeconds}: Exposure): Finding => {
  const trouble = cueTrouble(cues);
  if (trouble) return fail(trouble, 'Change the cue sheet.');
  if (flashOutsideExposure(cues, shutterSeconds)) {
    return watch('A flash cue falls outside the exposure.', 'Change the cue sheet or the time.');
  }
  return ok('The cues fit the exposure.');
};

const heatItem = ({shoot, nowMs}: PreflightFacts): Finding => {
  const words = heatWords(shoot, nowMs);
  return words ? watch(words, 'Let them rest, and leave head, gel and batteries alone.') : ok('');
};

/**
 * What only the sitter can say. Usual cautions of the craft and of flashing light (references: WCAG 2.3.1 and the
 * Epilepsy Society for flashing; the rest is general care); local rules and the makers' instructions come first.
 */
const toldItems = ({shoot, told}: PreflightFacts): PreflightItem[] => {
  const on = shoot.rig.lights.filter(light => light.on);
  const powers = on.map(light => `${light.id} ${printPower(light.power)}${light.pops > 1 ? ` ×${light.pops}` : ''}`);
  const item = (id: string, say: string): PreflightItem => ({
    id,
    by: 'told',
    say,
    state: told.has(id) ? 'ok' : 'open',
    fix: null,
  });
  return [
    item('painting light', 'The painting light is in your hand and dimmed.'),
    ...(on.length > 0
      ? [item('flashes', `The flashes are on and set: ${powers.join(', ')}. Snoots and gels sit firmly.`)]
      : []),
    item('lights out', 'The room light can be switched off from where you stand.'),
    item('floor', 'The floor is clear and you know your way in the dark.'),
    item('cords', 'Cords lie clear of your feet, and none near your neck.'),
    ...(on.length > 0
      ? [
          item('flashing', 'Nobody here is sensitive to flashing light.'),
          item('eyes', 'Eyes are closed or turned away at each pop; no pop at arm’s length into open eyes.'),
        ]
      : []),
    item('hot', 'Hot lamps and flash heads are away from skin and cloth.'),
    item('rules', 'Local rules and the makers’ instructions come first.'),
  ];
};
