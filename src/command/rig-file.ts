import {isDeepStrictEqual} from 'node:util';
import {quote} from '../../shared/exposure.js';
import type {Rig} from '../../shared/rig.js';
import {readShortText} from '../frame/short-text.js';
import {parseRig} from '../light/rig-file.js';
import type {Session} from '../shoot/state.js';
import {UsageFault} from './complain.js';

const LONGEST_RIG_BYTES = 1_000_000;

/**
 * Reads a rig from the file that a person named.
 * @throws UsageFault where the file can't be read, RigFault with the first thing that is wrong in it
 */
export const readRigFile = async (file: string): Promise<Rig> => {
  const text = await readShortText(file, LONGEST_RIG_BYTES).catch(() => {
    throw new UsageFault(`The rig file ${quote(file)} can't be read; check its name.`);
  });
  return parseRig(text);
};

/** Gives a shoot this rig, new or begun; the journal keeps the change, and nothing where the shoot has this rig already. */
export const setRig = (session: Session, rig: Rig): void => {
  if (!isDeepStrictEqual(session.state().shoot.rig, rig)) session.send({kind: 'set rig', rig});
};
