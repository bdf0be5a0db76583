import type {Clock} from '../../shared/clock.js';
import type {ShootFile} from '../../shared/journal.js';
import type {ObedientRoom} from '../../shared/room.js';
import type {Sound} from '../../shared/sound.js';
import type {Measurer} from '../frame/measurer.js';
import type {Judge} from '../judge/contract.js';
import type {CameraSource, LinkTimes} from './camera-link.js';
import type {AsleepMs} from './cue-clock.js';
import type {Shoot} from './state.js';

/** What is to be handed off, and where to: a folder, or null for the usual one in the shoot. */
export type WrapOrder = {shoot: Shoot; shootFolder: string; destination: string | null; maybeToo: boolean};

/** Tells what a hand-off would do, changing nothing; made in a later room of the house. */
export type PlanWrap = (order: WrapOrder) => Promise<{folder: string; files: string[]; bytes: number}>;

/** Hands off the kept files; made in a later room of the house. */
export type WrapUp = (
  order: WrapOrder & {
    progress(files: number, of: number, file: string): void;
    signal: AbortSignal;
  },
) => Promise<{folder: string; files: ShootFile[]}>;

/** Everything that a running shoot needs of the world. */
export type SessionDeps = {
  folder: string;
  /** Name and version of this program, for the journal. */
  program: string;
  cameras: CameraSource;
  /** A room that arranges itself; null for a real one. */
  room: ObedientRoom | null;
  sound: Sound;
  clock: Clock;
  /** How many times faster than real time the clock runs. */
  speed: number;
  measurer: Measurer;
  judge: Judge;
  planWrap: PlanWrap;
  wrapUp: WrapUp;
  /** Holds a shoot's plates, once all are taken, against those of the one it was started from; sentences for a person. */
  comparePlates?(shoot: Shoot, shootFolder: string, startedFrom: string): Promise<string[]>;
  /** Whether the room is checked before an opening until it was found dark; a person may turn it on and off. */
  roomCheck?: boolean;
  /** Keeps the machine awake until the returned function is called; rejects with one sentence where it can't. */
  keepAwake(): Promise<() => void>;
  /** The wall clock, for the journal. */
  now?: () => Date;
  asleepMs?: AsleepMs;
  linkTimes?: LinkTimes;
};
