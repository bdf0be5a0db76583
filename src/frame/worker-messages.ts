import type {Measurement} from '../../shared/reading.js';
import type {Zones} from '../../shared/zones.js';
import type {FrameFaultCause} from './fault.js';
import type {Picture} from './picture.js';

/** What the measuring thread can be asked, by name: its arguments and its answer. */
export type Jobs = {
  usePlates: {ask: {folder: string | null}; answer: null};
  measure: {ask: {file: string; zones: Zones | null}; answer: Measurement};
  guessZones: {ask: {file: string}; answer: Zones};
  picture: {ask: {file: string; maxWidth: number; maxHeight: number}; answer: Picture};
};

export type JobName = keyof Jobs;

export type Request = {[Name in JobName]: {id: number; job: Name} & Jobs[Name]['ask']}[JobName];

export type Reply =
  | {id: number; ok: true; answer: Jobs[JobName]['answer']}
  | {id: number; ok: false; reason: FrameFaultCause | null; message: string};
