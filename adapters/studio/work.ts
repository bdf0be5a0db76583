import type {Rig} from '../../shared/rig.js';
import type {ExifFacts} from './exif.js';
import type {Shot} from './scene/moments.js';
import type {SensorSettings} from './scene/sensor.js';
import type {RoomSettings} from './scene/stage.js';

/** What the studio's thread is asked for: `prepare` only builds the set, so that the first frame needn't wait for it. */
export type PrepareWork = {kind: 'prepare'; set: SetSettings};
export type TakeWork = {
  kind: 'take';
  set: SetSettings;
  shot: Shot;
  sensor: SensorSettings;
  quality: number;
  exif: ExifFacts;
};
export type Work = (PrepareWork | TakeWork) & {id: number};

export type SetSettings = {rig: Rig; room: RoomSettings; seed: number; width: number; height: number};

/** Its answer to the work of the same id. */
export type Done =
  | {kind: 'prepared'; id: number}
  | {kind: 'taken'; id: number; jpeg: Uint8Array}
  | {kind: 'failed'; id: number; say: string};
