import {plainText} from '../../shared/plain-text.js';

/** Wrong use of the command line: one sentence, exit code 2. */
export class UsageFault extends Error {
  override name = 'UsageFault';
}

const isFault = (error: unknown): error is Error => error instanceof Error && error.name.endsWith('Fault');

/** Faults of what a person typed; everything else that is wrong is about the thing asked about. */
const wrongUse = new Set(['UsageFault', 'SettingFault', 'LightFault', 'RigFault']);

/**
 * Says what went wrong in one sentence on stderr.
 * @returns the exit code: 2 for wrong use, 1 for a thing that is not right
 */
export const complain = (error: unknown): 1 | 2 => {
  const message = error instanceof Error ? error.message : String(error);
  const sentence = isFault(error) ? message : `Something went wrong inside darkset: ${message}`;
  process.stderr.write(`darkset: ${plainText(sentence)}\n`);
  if (!isFault(error) && process.env.DARKSET_TRACE && error instanceof Error) process.stderr.write(`${error.stack}\n`);
  return isFault(error) && wrongUse.has(error.name) ? 2 : 1;
};
