import type {Measurement} from '../../shared/reading.js';
import type {Zones} from '../../shared/zones.js';
import type {Picture} from './picture.js';

/** What the shoot needs of the frame room; it works in a thread of its own, so that no cue waits for it. */
export type Measurer = {
  /** Loads the plates of a folder once; later measurements use them. null forgets them. */
  usePlates(folder: string | null): Promise<void>;
  measure(file: string, zones: Zones | null): Promise<Measurement>;
  /** A first guess of the face ellipse from the lit blob of a plate. */
  guessZones(file: string): Promise<Zones>;
  /** A picture that fits into this box, keeping its shape. */
  picture(file: string, maxWidth: number, maxHeight: number): Promise<Picture>;
  close(): Promise<void>;
};
