import type {FrameOnCamera} from '../../shared/camera.js';
import {plainText} from '../../shared/plain-text.js';
import type {CardFile} from './messages.js';
import {frameKindOf} from './values.js';

const LONGEST_NAME = 200;

/** A name as it may be shown and written down: one line, not endless, and with something in it. */
const shown = (text: string): string => {
  const plain = plainText(text);
  return plain.length > LONGEST_NAME ? `${plain.slice(0, LONGEST_NAME)}…` : plain;
};

/**
 * Keeps the camera's own names beside the plain ones that the program sees. Two names that look the same once they are
 * plain get a number. Nothing here is ever a path on this machine.
 */
export const createFrames = () => {
  const filesByKey = new Map<string, {folder: string; name: string}>();
  const framesByFile = new Map<string, FrameOnCamera>();
  const keyOf = (folder: string, name: string): string => `${folder}\n${name}`;

  const free = (folder: string, name: string): string => {
    const other = (count: number): string => (count === 1 ? name : `${name} (${count})`);
    let count = 1;
    while (filesByKey.has(keyOf(folder, other(count)))) count += 1;
    return other(count);
  };

  return {
    /** The frame that stands for a file on the card; the same one every time. */
    frameOf(file: CardFile): FrameOnCamera {
      const own = keyOf(file.folder, file.name);
      const known = framesByFile.get(own);
      if (known !== undefined) return known;
      const folder = shown(file.folder);
      const name = free(folder, shown(file.name));
      const frame: FrameOnCamera = {folder, name, kind: frameKindOf(file.name, file.mime), bytes: file.bytes};
      filesByKey.set(keyOf(folder, name), {folder: file.folder, name: file.name});
      framesByFile.set(own, frame);
      return frame;
    },
    /** The file that a frame stands for. A frame of an earlier run is asked for under the name that was written down. */
    fileOf: (frame: FrameOnCamera): {folder: string; name: string} =>
      filesByKey.get(keyOf(frame.folder, frame.name)) ?? {folder: frame.folder, name: frame.name},
  };
};

export type Frames = ReturnType<typeof createFrames>;
