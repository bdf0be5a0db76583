import path from 'node:path';
import {printedReadingSchema, type Reading} from '../../shared/reading.js';
import type {Zones} from '../../shared/zones.js';
import {measureFrames} from '../frame/measure-frames.js';
import {loadPlates, type PlateSet} from '../frame/plates.js';
import {judge} from '../judge/judge.js';
import {readShoot} from '../shoot/open-shoot.js';
import {complain} from './complain.js';
import {printReading} from './print-reading.js';

export type MeasureOptions = {plates?: string; json?: boolean};

/** The face ellipse that lies beside the plates, or else the one of the shoot that they are of. */
const zonesOf = async (plates: PlateSet, folder: string): Promise<Zones | null> =>
  plates.zones ??
  readShoot(path.dirname(path.resolve(folder))).then(
    ({shoot}) => shoot.zones,
    () => null,
  );

/**
 * Measures frames against one load of the plates and prints what they hold: a JSON object for one frame, an array for
 * several, or text. A frame that can't be read is said on stderr and does not keep the others from being measured.
 * @returns exit code: 0, or 1 when a frame could not be read
 */
export const measure = async (frames: string[], options: MeasureOptions): Promise<0 | 1> => {
  const plates = options.plates === undefined ? null : await loadPlates(options.plates);
  const zones = plates && options.plates !== undefined ? await zonesOf(plates, options.plates) : null;
  const readings: Reading[] = [];
  let unreadable = false;
  for (const measured of await measureFrames(frames, plates, zones)) {
    if ('error' in measured) {
      complain(measured.error);
      unreadable = true;
      continue;
    }
    const {measurement} = measured;
    const {exposure} = measurement.frame;
    readings.push({
      ...measurement,
      ...judge({measurement, limits: {}, rig: null, exposure, changes: [], earlier: [], zones}),
    });
  }
  if (options.json) {
    const printed = readings.map(reading => printedReadingSchema.parse(reading));
    const whole = frames.length === 1 ? printed[0] : printed;
    if (whole !== undefined) process.stdout.write(`${JSON.stringify(whole, null, 2)}\n`);
  } else {
    process.stdout.write(readings.map(printReading).join('\n'));
  }
  return unreadable ? 1 : 0;
};
