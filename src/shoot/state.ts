import type {CameraIdentity, CameraStatus} from '../../shared/camera.js';
import type {CueName, CueSheet} from '../../shared/cues.js';
import type {Exposure} from '../../shared/exposure.js';
import type {Limits, Mark, PlateName, ShootFile} from '../../shared/journal.js';
import type {Reading} from '../../shared/reading.js';
import type {Rig} from '../../shared/rig.js';
import type {SoundState} from '../../shared/sound.js';
import type {Zones} from '../../shared/zones.js';
import type {Picture} from '../frame/picture.js';

/** One attempt as the journal tells it. */
export type Attempt = {
  number: number;
  at: string;
  exposure: Exposure;
  cues: CueSheet;
  rig: Rig;
  told: string[];
  series: boolean;
  /** Limits in force when it began. */
  limits?: Limits;
  /** When the shutter opened, by the wall clock; null where it is not known to have. */
  openedAt?: string | null;
  /** Whether a probe was begun in it of which it is not known what it made. */
  probing?: boolean;
  /** What the room check before the opening said. */
  roomCheck?: string | null;
  /** How far it came. `open` and `closed` without files: the frame may still be on the camera. */
  stage: 'begun' | 'open' | 'closed' | 'pulled' | 'measured' | 'unmeasured' | 'stopped';
  openSeconds: number | null;
  framesMade: {folder: string; name: string}[];
  /** Whether the camera has told which frames it made, be it none. */
  framesTold?: boolean;
  files: ShootFile[];
  reading: Reading | null;
  /** Why it could not be measured, or why it was stopped. */
  trouble: string | null;
  mark: Mark | null;
  notes: string[];
  /** What changed since the attempt before, each in plain words: "B moved 1.2 → 0.9 m". */
  changes: string[];
};

export type Plate = {plate: PlateName; exposure: Exposure | null; files: ShootFile[]; at: string; rig?: Rig};

/** The shoot: a fold over its journal and nothing else. */
export type Shoot = {
  name: string;
  begunAt: string;
  /** Folder of the earlier shoot from which the set-up was taken over, absolute. */
  startedFrom?: string;
  /** Whether a person has agreed to the exposure and rig; until then they are what every new shoot starts from. */
  planned?: boolean;
  rig: Rig;
  exposure: Exposure;
  roomEv100: number | null;
  zones: Zones | null;
  cues: CueSheet;
  limits: Limits;
  focusLocked: string | null;
  plates: Plate[];
  attempts: Attempt[];
  /** Frames that belong to no attempt. */
  strays?: ShootFile[];
  /** Frames on the camera that were probes. */
  probeFrames?: {name: string; bytes: number | null}[];
  /** The camera that was last connected. */
  camera?: CameraIdentity | null;
  wraps: {at: string; folder: string; files: ShootFile[]}[];
};

export type PreflightItem = {
  id: string;
  /** `watched`: the program reads it; `told`: the sitter says so. */
  by: 'watched' | 'told';
  say: string;
  state: 'ok' | 'watch' | 'fail' | 'open';
  /** What to do about it, where it isn't ok. */
  fix: string | null;
};

/** What an exposure is for. */
export type Subject = {kind: 'attempt'; attempt: number} | {kind: 'plate'; plate: PlateName} | {kind: 'probe'};

/** What happens right now. Times ending in Ms are on the shoot's monotonic clock (Session.now). */
export type Activity =
  | {kind: 'resting'}
  | {kind: 'preflight'; items: PreflightItem[]; ready: boolean; series: boolean}
  | {kind: 'countdown'; subject: Subject; opensAtMs: number; cue: CueName | null}
  | {kind: 'room check'; attempt: number; say: string | null; holding: boolean}
  | {kind: 'open'; subject: Subject; openedAtMs: number; seconds: number; cue: CueName | null}
  | {kind: 'waiting for a file'; subject: Subject; say: string}
  | {kind: 'pulling'; subject: Subject; file: string; bytes: number; total: number}
  | {kind: 'measuring'; subject: Subject}
  | {kind: 'speaking'; attempt: number; say: string}
  | {kind: 'between'; attempt: number; nextAtMs: number; done: number; wanted: number}
  | {kind: 'wrapping'; files: number; of: number; file: string}
  | {kind: 'stopping'; say: string};

export type CameraLink =
  | {kind: 'connected'; identity: CameraIdentity; status: CameraStatus}
  | {kind: 'lost'; identity: CameraIdentity | null; say: string};

/** Everything a screen may read. A new object at every change. */
export type SessionState = {
  shoot: Shoot;
  folder: string;
  camera: CameraLink;
  sound: SoundState;
  /** Whether a room check is made before the next opening, where the camera can. It ends when the room was found dark. */
  roomCheck?: boolean;
  /** Simulated seconds go by this much faster than real ones (studio only); 1 otherwise. */
  speed: number;
  activity: Activity;
  /** The one next thing that "go on" will do, in a few words: "take the dark plate". */
  next: {place: Place; say: string; how: string};
  /** The newest thing worth saying, and whether it is trouble. */
  message: {say: string; trouble: boolean} | null;
  /** Path of the picture that belongs on the screen now, absolute; null for none. */
  pictureFile: string | null;
  /** A guess of the face ellipse that waits for the person's word. */
  proposedZones: Zones | null;
  /**
   * What "go on" would hand off: its names in the hand-off, the hand-off's own folder, and the place that the person
   * chose for it, null for the usual one.
   */
  wrapPlan: {files: string[]; folder: string; destination: string | null; bytes: number} | null;
};

/** The five places, in the order of the work. */
export const places = ['plan', 'plates', 'attempt', 'look back', 'wrap'] as const;
export type Place = (typeof places)[number];

/** What a screen may ask for. */
export type Intent =
  | {kind: 'go on'}
  | {kind: 'stop'}
  /** Remembers that the set-up comes from an earlier shoot, so that new plates are held against its own. */
  | {kind: 'start from'; folder: string}
  | {kind: 'set exposure'; change: Partial<Exposure>}
  | {kind: 'set rig'; rig: Rig}
  | {kind: 'set room level'; roomEv100: number | null; how: string}
  | {kind: 'probe the room'}
  | {kind: 'set zones'; zones: Zones}
  | {kind: 'set cues'; cues: CueSheet}
  | {kind: 'set limits'; limits: Limits}
  | {kind: 'focus'; step: 'drive' | 'lock'}
  | {kind: 'take plate'; plate: PlateName}
  | {kind: 'begin attempt'}
  | {kind: 'begin series'; count: number; pauseSeconds: number; untilPassed: boolean}
  | {kind: 'mark'; attempt: number; mark: Mark | null}
  | {kind: 'note'; attempt: number; text: string}
  | {kind: 'measure again'; attempt: number}
  | {kind: 'look for lost frames'}
  /** Whether every attempt takes a probe after lights out and waits for the person's word before it opens. */
  | {kind: 'set room check'; on: boolean}
  | {kind: 'plan wrap'; folder: string | null; maybeToo: boolean}
  | {kind: 'wrap'};

/** The running shoot, as a screen sees it. */
export type Session = {
  state(): SessionState;
  subscribe(listener: () => void): () => void;
  send(intent: Intent): void;
  /** The shoot's monotonic clock in milliseconds; on a sped-up simulated room it runs that much faster. */
  now(): number;
  /** A picture of a file of this shoot for the screen; rejects with one sentence when it can't be read. */
  picture(file: string, maxWidth: number, maxHeight: number): Promise<Picture>;
  /** Stops whatever runs, safely, and lets go of camera, sound, lock and threads. */
  close(): Promise<void>;
};
