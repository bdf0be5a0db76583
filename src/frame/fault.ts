import {basename} from 'node:path';
import {plainText} from '../../shared/plain-text.js';

/**
 * Why a frame or a set of plates can't be used. `missing`: nothing there; `unreadable`: not allowed or not a file;
 * `empty`; `broken`: cut off or damaged; `foreign`: not a picture, or a kind that isn't read; `huge`: beyond the limits;
 * `stuck`: measuring it took too long or stopped the thread that did it.
 */
export type FrameFaultCause = 'missing' | 'unreadable' | 'empty' | 'broken' | 'foreign' | 'huge' | 'stuck';

/** A frame or plate that can't be measured, in one sentence for a person. The file itself stays untouched. */
export class FrameFault extends Error {
  override name = 'FrameFault';
  constructor(
    readonly reason: FrameFaultCause,
    message: string,
  ) {
    super(message);
  }
}

/** A file's own name, fit to be shown: no folders, no control characters, cut to 80 characters. */
export const fileLabel = (path: string): string => {
  const plain = plainText(basename(path)).trim();
  return plain.length > 80 ? `${plain.slice(0, 79).toWellFormed()}…` : plain || 'the file';
};
