import {CameraFault, type CameraFaultCause} from '../../shared/camera.js';
import {plainText} from '../../shared/plain-text.js';
import {libraryHint} from './hint.js';
import {CallFault} from './worker.js';

/** Codes of libgphoto2 (gphoto2-result.h, gphoto2-port-result.h) that leave no doubt. */
const causes: Record<number, CameraFaultCause> = {
  [-53]: 'busy',
  [-60]: 'busy',
  [-105]: 'gone',
  [-52]: 'gone',
  [-108]: 'lost',
  [-110]: 'busy',
  [-112]: 'stopped',
  [-115]: 'full',
};

/** After these the connection can't be trusted any more. */
const linkCodes = new Set([-7, -10, -31, -34, -35, -37, -51, -52, -105]);
/** These may be a plain "no", or a connection that has gone: only asking again tells. */
const doubtfulCodes = new Set([-1, -2]);

const MISSING_LIBRARY = -4;
/** This machine's own disk went wrong, not the camera. */
const DISK = -114;

/** What a failed call says about the connection. */
export const linkAfter = (fault: CallFault): 'fine' | 'doubtful' | 'lost' => {
  if (fault.how !== 'refused' || linkCodes.has(fault.code)) return 'lost';
  if (/store full/i.test(fault.said)) return 'fine';
  return doubtfulCodes.has(fault.code) ? 'doubtful' : 'fine';
};

const sentences: Record<CameraFaultCause, (place: string, doing: string) => string> = {
  gone: place =>
    place.startsWith('ip:')
      ? `No contact with a camera at ${place}; check that it is on and in this network. darkset keeps looking for it.`
      : `The camera at ${place} is gone; check its cable and that it is on. darkset keeps looking for it.`,
  asleep: place => `The camera at ${place} does not answer; wake it with its release. darkset keeps trying.`,
  busy: (_place, doing) => `The camera is busy and could not ${doing}; wait a moment and try again.`,
  refused: (_place, doing) => `The camera refused to ${doing}.`,
  unable: (_place, doing) => `This camera can’t ${doing} from here.`,
  stopped: () => 'Stopped.',
  lost: () => 'The file is not on the card, or came through broken; look for it on the camera.',
  full: () => 'The card is full; change it, or delete frames on the camera.',
  broken: (_place, doing) => `The camera could not ${doing}.`,
};

/**
 * Puts a failed call into one sentence for a person.
 * @param doing what was tried, as in "set the aperture"
 * @param lost whether the connection is known to be gone
 */
export const cameraFaultOf = (fault: unknown, place: string, doing: string, lost: boolean): CameraFault => {
  if (fault instanceof CameraFault) return fault;
  if (!(fault instanceof CallFault)) return new CameraFault('broken', `The camera could not ${doing}; see the log.`);
  if (fault.code === MISSING_LIBRARY) return new CameraFault('unable', libraryHint());
  if (fault.how === 'died') {
    return new CameraFault('gone', `The camera library stopped working; it is started again to ${doing}.`);
  }
  if (fault.how === 'hung') return new CameraFault('asleep', sentences.asleep(place, doing));
  const known = /store full/i.test(fault.said) ? 'full' : causes[fault.code];
  if (known === 'busy' && (fault.code === -53 || fault.code === -60)) {
    return new CameraFault('busy', `Another program holds the camera at ${place}; close it, or see darkset doctor.`);
  }
  if (known !== undefined) return new CameraFault(known, sentences[known](place, doing));
  if (fault.code === DISK) {
    const full = fault.said === 'ENOSPC';
    const why = full ? 'there is no room left on it' : 'it can’t be written';
    return new CameraFault(full ? 'full' : 'broken', `Could not ${doing}: look at this machine’s disk, ${why}.`);
  }
  if (lost) {
    const reason = fault.slow || fault.code === -10 ? 'asleep' : 'gone';
    return new CameraFault(reason, sentences[reason](place, doing));
  }
  const reason = fault.code === -6 ? 'unable' : 'refused';
  const said = plainText(fault.said)
    .trim()
    .slice(0, 200)
    .replace(/[.\s]+$/, '');
  const because = said === '' || /^(bad parameters|unspecified error)/i.test(said) ? '' : ` It says: ${said}.`;
  return new CameraFault(reason, `${sentences[reason](place, doing)}${because}`);
};
