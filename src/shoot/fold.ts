import {type CueSheet, usualCueSheet} from '../../shared/cues.js';
import type {Exposure} from '../../shared/exposure.js';
import type {JournalEntry, ShootFile} from '../../shared/journal.js';
import {demoRig} from '../../shared/rig.js';
import {changesBetween, type Setup} from './changes.js';
import type {Attempt, Shoot} from './state.js';

/** What every new shoot starts from. */
export const usualExposure: Exposure = {shutterSeconds: 8, fNumber: 8, iso: 100};

/** A shoot of which nothing is known yet. */
export const emptyShoot = (): Shoot => ({
  name: '',
  begunAt: '',
  planned: false,
  rig: demoRig,
  exposure: usualExposure,
  roomEv100: null,
  zones: null,
  cues: usualCueSheet(usualExposure.shutterSeconds),
  limits: {},
  focusLocked: null,
  plates: [],
  attempts: [],
  strays: [],
  probeFrames: [],
  camera: null,
  wraps: [],
});

/** The shoot after one more entry; the one before stays as it is. */
export const applyEntry = (shoot: Shoot, entry: JournalEntry): Shoot => {
  const next = {...shoot, attempts: [...shoot.attempts]};
  if ('attempt' in entry && entry.kind !== 'attempt-begun') {
    const at = indexOfAttempt(next, entry.attempt);
    if (at >= 0) next.attempts[at] = copyOf(next.attempts[at]!);
  }
  note(next, entry);
  return next;
};

/** Folds entries one at a time without copying; for replaying a journal. */
export const shootFold = (): {take(entry: JournalEntry): void; shoot(): Shoot} => {
  const shoot = emptyShoot();
  return {take: entry => note(shoot, entry), shoot: () => shoot};
};

/** The shoot that these entries tell, from its first. */
export const foldShoot = (entries: Iterable<JournalEntry>): Shoot => {
  const fold = shootFold();
  for (const entry of entries) fold.take(entry);
  return fold.shoot();
};

/** Copies an attempt without fetching a reading that waits in the journal. */
const copyOf = (attempt: Attempt): Attempt =>
  Object.defineProperties({}, Object.getOwnPropertyDescriptors(attempt)) as Attempt;

const indexOfAttempt = (shoot: Shoot, number: number): number => {
  // Nearly always the last one.
  for (let at = shoot.attempts.length - 1; at >= 0; at--) if (shoot.attempts[at]!.number === number) return at;
  return -1;
};

/** Changes the shoot as one entry says. Entries about attempts that never began change nothing. */
const note = (shoot: Shoot, entry: JournalEntry): void => {
  switch (entry.kind) {
    case 'shoot-begun':
      shoot.name = entry.name;
      shoot.begunAt = entry.at;
      return;
    case 'camera-seen':
      shoot.camera = entry.camera;
      return;
    case 'started-from':
      shoot.startedFrom = entry.folder;
      return;
    case 'rig-set':
      shoot.rig = entry.rig;
      return;
    case 'exposure-set':
      shoot.cues = cuesFor(shoot.cues, shoot.exposure, entry.exposure);
      shoot.exposure = entry.exposure;
      shoot.planned = true;
      return;
    case 'room-level-set':
      shoot.roomEv100 = entry.roomEv100;
      return;
    case 'zones-set':
      shoot.zones = entry.zones;
      return;
    case 'cues-set':
      shoot.cues = entry.cues;
      return;
    case 'limits-set':
      shoot.limits = entry.limits;
      return;
    case 'focus-locked':
      shoot.focusLocked = entry.how;
      return;
    case 'plate-taken': {
      const {plate, exposure, files, at} = entry;
      const others = shoot.plates.filter(other => other.plate !== plate);
      shoot.plates = [...others, {plate, exposure, files, at, rig: shoot.rig}];
      return;
    }
    case 'plate-dropped':
      shoot.plates = shoot.plates.filter(({plate}) => plate !== entry.plate);
      return;
    case 'stray-pulled':
      shoot.strays = [...(shoot.strays ?? []), entry.file];
      return;
    case 'probe-made': {
      const made = entry.frames.map(({name, bytes}) => ({name, bytes}));
      shoot.probeFrames = [...(shoot.probeFrames ?? []), ...made];
      const last = shoot.attempts.at(-1);
      if (last?.probing) shoot.attempts[shoot.attempts.length - 1] = Object.assign(copyOf(last), {probing: false});
      return;
    }
    case 'wrapped':
      shoot.wraps = [...shoot.wraps, {at: entry.at, folder: entry.folder, files: entry.files}];
      return;
    case 'attempt-begun':
      begin(shoot, entry);
      return;
    default: {
      const at = indexOfAttempt(shoot, entry.attempt);
      if (at >= 0) noteAttempt(shoot.attempts[at]!, entry);
    }
  }
};

type AttemptEntry = Exclude<Extract<JournalEntry, {attempt: number}>, {kind: 'attempt-begun'}>;

const noteAttempt = (attempt: Attempt, entry: AttemptEntry): void => {
  switch (entry.kind) {
    case 'probe-begun':
      attempt.probing = true;
      return;
    case 'shutter-opened':
      attempt.openedAt = entry.at;
      attempt.stage = 'open';
      return;
    case 'shutter-closed':
      attempt.openSeconds = entry.openSeconds;
      attempt.stage = 'closed';
      return;
    case 'frames-made':
      attempt.framesTold = true;
      attempt.framesMade = entry.frames.map(({folder, name}) => ({folder, name}));
      return;
    case 'frame-pulled':
      attempt.files = [...attempt.files.filter(file => file.path !== entry.file.path), entry.file];
      if (['begun', 'open', 'closed'].includes(attempt.stage)) attempt.stage = 'pulled';
      return;
    case 'room-checked':
      attempt.roomCheck = entry.say;
      return;
    case 'measured':
      // The reading may still wait in the journal: its getter moves, it isn't called.
      Object.defineProperty(attempt, 'reading', Object.getOwnPropertyDescriptor(entry, 'reading')!);
      if (attempt.stage !== 'stopped') attempt.trouble = null;
      attempt.stage = 'measured';
      return;
    case 'unmeasured':
      attempt.stage = 'unmeasured';
      attempt.trouble = entry.why;
      return;
    case 'attempt-stopped':
      attempt.stage = 'stopped';
      attempt.trouble = entry.why;
      return;
    case 'marked':
      attempt.mark = entry.mark;
      return;
    case 'noted':
      attempt.notes = [...attempt.notes, entry.text];
      return;
  }
};

const begin = (shoot: Shoot, entry: Extract<JournalEntry, {kind: 'attempt-begun'}>): void => {
  const last = shoot.attempts.at(-1);
  const setup: Setup = {rig: shoot.rig, exposure: entry.exposure, cues: entry.cues, limits: shoot.limits};
  shoot.attempts.push({
    number: entry.attempt,
    at: entry.at,
    ...setup,
    // Most attempts repeat the one before: holding its parts keeps a long shoot small.
    cues: last && sameSheet(last.cues, entry.cues) ? last.cues : entry.cues,
    told: last && sameList(last.told, entry.told) ? last.told : entry.told,
    series: entry.series,
    openedAt: null,
    probing: false,
    roomCheck: null,
    stage: 'begun',
    openSeconds: null,
    framesMade: [],
    framesTold: false,
    files: [],
    reading: null,
    trouble: null,
    mark: null,
    notes: [],
    changes: last ? changesBetween(setupOf(last), setup) : [],
  });
};

/** Taken one by one: copying the attempt whole would fetch its reading. */
const setupOf = ({rig, exposure, cues, limits = {}}: Attempt): Setup => ({rig, exposure, cues, limits});

const sameSheet = (one: CueSheet, other: CueSheet): boolean =>
  one === other || JSON.stringify(one) === JSON.stringify(other);

const sameList = (one: string[], other: string[]): boolean =>
  one === other || (one.length === other.length && one.every((text, at) => text === other[at]));

/** A sheet nobody touched follows the exposure; in an edited one only the closing moves. */
const cuesFor = (cues: CueSheet, before: Exposure, after: Exposure): CueSheet => {
  if (before.shutterSeconds === after.shutterSeconds) return cues;
  if (sameSheet(cues, usualCueSheet(before.shutterSeconds, cues.countdownSeconds))) {
    return usualCueSheet(after.shutterSeconds, cues.countdownSeconds);
  }
  return {
    ...cues,
    cues: cues.cues.map(cue => (cue.name === 'closed' ? {...cue, atSeconds: after.shutterSeconds} : cue)),
  };
};

/** Every file that the journal knows, attempts first. */
export const knownFiles = (shoot: Shoot): ShootFile[] => [
  ...shoot.attempts.flatMap(({files}) => files),
  ...shoot.plates.flatMap(({files}) => files),
  ...(shoot.strays ?? []),
];
