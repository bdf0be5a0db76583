import type {Measurement} from '../../shared/reading.js';
import type {Zones} from '../../shared/zones.js';
import {beliefFor, isTold, type LearnedCurve} from './curve/learned-curve.js';
import {measureFrame} from './measure.js';
import type {PlateSet} from './plates.js';

/** A frame's measurement, or why there is none. */
export type Measured = {measurement: Measurement} | {error: unknown};

/**
 * Measures frames of one shoot. What they say of the camera's tone curve together holds for each: the first, which were
 * measured before it was told, are measured again.
 * @returns one for each file, in their order
 */
export const measureFrames = async (
  files: readonly string[],
  plates: PlateSet | null,
  zones: Zones | null,
): Promise<Measured[]> => {
  const learned: LearnedCurve = new Map();
  const wasTold: boolean[] = [];
  const measured: Measured[] = [];
  for (const file of files) {
    wasTold.push(isTold(beliefFor(learned, file)));
    measured.push(await outcome(() => measureFrame(file, plates, zones, learned)));
  }
  for (const [n, file] of files.entries()) {
    if (wasTold[n] || 'error' in measured[n]! || !isTold(beliefFor(learned, file))) continue;
    measured[n] = await outcome(() => measureFrame(file, plates, zones, learned));
  }
  return measured;
};

const outcome = async (measuring: () => Promise<Measurement>): Promise<Measured> => {
  try {
    return {measurement: await measuring()};
  } catch (error) {
    return {error};
  }
};
