import {appendFileSync, mkdirSync, statSync} from 'node:fs';
import path from 'node:path';
import envPaths from 'env-paths';
import {plainText} from '../../shared/plain-text.js';

/** The log is for whoever looks for a fault; past this size a library that repeats itself is not listened to. */
const FULL_BYTES = 5_000_000;

/** Where lines of the camera library's process go. */
export const libraryLogFile = path.join(envPaths('darkset', {suffix: ''}).log, 'camera-library.log');

/** Appends a line to the log; a log that can't be written must not disturb a shoot. */
export const logLibraryLine = (line: string): void => {
  try {
    mkdirSync(path.dirname(libraryLogFile), {recursive: true});
    const size = statSync(libraryLogFile, {throwIfNoEntry: false})?.size ?? 0;
    if (size < FULL_BYTES) appendFileSync(libraryLogFile, `${new Date().toISOString()} ${plainText(line)}\n`);
  } catch {
    // Nothing to do: the line is only lost to the log.
  }
};
