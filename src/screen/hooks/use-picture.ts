import {useEffect, useReducer} from 'react';
import type {Picture} from '../../frame/picture.js';
import type {Session} from '../../shoot/state.js';
import {useStage} from '../context.js';

export type Shown = {picture: Picture | null; trouble: string | null};

/** A file that shall be shown: where it is, and what tells its versions apart. */
export type ShownFile = {path: string; version: string};

const nothing: Shown = {picture: null, trouble: null};

/** Pictures that are remembered: all plates of a rig with eight lights, and some frames. */
const REMEMBERED = 16;
const memories = new WeakMap<Session, Map<string, Shown>>();

const memoryOf = (session: Session): Map<string, Shown> => {
  const memory = memories.get(session) ?? new Map<string, Shown>();
  memories.set(session, memory);
  return memory;
};

const keyOf = (file: ShownFile, width: number, height: number): string =>
  `${width}×${height} ${file.version} ${file.path}`;

/** Fetches one picture into the memory; a picture that can't be shown is asked for again the next time. */
const fetchPicture = async (session: Session, file: ShownFile, width: number, height: number): Promise<void> => {
  const memory = memoryOf(session);
  const key = keyOf(file, width, height);
  try {
    memory.set(key, {picture: await session.picture(file.path, width, height), trouble: null});
  } catch (error) {
    const trouble = error instanceof Error ? error.message : 'This picture cannot be shown.';
    memory.set(key, {picture: null, trouble});
  }
  for (const old of memory.keys()) {
    if (memory.size <= REMEMBERED) break;
    memory.delete(old);
  }
};

/**
 * Pictures of files, each made to fit a box of so many pixels, in their order; empty ones until they come.
 * Looking from one frame to another and back costs nothing: the last few are remembered.
 */
export const usePictures = (files: readonly (ShownFile | null)[], width: number, height: number): Shown[] => {
  const {session} = useStage();
  const [, arrived] = useReducer((count: number) => count + 1, 0);
  const wanted = files.map(file => (file && width > 0 && height > 0 ? keyOf(file, width, height) : '')).join('\n');
  // biome-ignore lint/correctness/useExhaustiveDependencies: `wanted` stands for the files and the size.
  useEffect(() => {
    let isWanted = true;
    for (const [index, key] of wanted.split('\n').entries()) {
      const known = memoryOf(session).get(key);
      if (key === '' || (known && known.trouble === null)) continue;
      void fetchPicture(session, files[index]!, width, height).then(() => {
        if (isWanted) arrived();
      });
    }
    return () => {
      isWanted = false;
    };
  }, [session, wanted]);
  const memory = memoryOf(session);
  return files.map(file => (file ? memory.get(keyOf(file, width, height)) : undefined) ?? nothing);
};

/** The picture of one file. */
export const usePicture = (file: ShownFile | null, width: number, height: number): Shown =>
  usePictures([file], width, height)[0]!;
