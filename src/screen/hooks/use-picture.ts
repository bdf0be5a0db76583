import {useEffect, useState} from 'react';
import type {Picture} from '../../frame/picture.js';
import type {Session} from '../../shoot/state.js';
import {useStage} from '../context.js';

export type Shown = {picture: Picture | null; trouble: string | null};

const nothing: Shown = {picture: null, trouble: null};

/** A file that shall be shown: where it is, and what tells its versions apart. */
export type ShownFile = {path: string; version: string};

const REMEMBERED = 8;
const remembered = new WeakMap<Session, Map<string, Shown>>();

const memoryOf = (session: Session): Map<string, Shown> => {
  const memory = remembered.get(session) ?? new Map<string, Shown>();
  remembered.set(session, memory);
  return memory;
};

/**
 * A picture of a file, made to fit a box of so many pixels.
 * Looking from one frame to another and back costs nothing: the last few are remembered.
 */
export const usePicture = (file: ShownFile | null, width: number, height: number): Shown => {
  const {session} = useStage();
  const key = file ? `${width}×${height} ${file.version} ${file.path}` : '';
  const path = file?.path ?? null;
  const [loaded, setLoaded] = useState<{key: string; shown: Shown}>({key: '', shown: nothing});
  const known = memoryOf(session).get(key);
  useEffect(() => {
    const memory = memoryOf(session);
    if (path === null || memory.has(key) || width < 1 || height < 1) return;
    let wanted = true;
    const arrived = (shown: Shown): void => {
      memory.set(key, shown);
      for (const old of memory.keys()) {
        if (memory.size <= REMEMBERED) break;
        memory.delete(old);
      }
      if (wanted) setLoaded({key, shown});
    };
    session.picture(path, width, height).then(
      picture => arrived({picture, trouble: null}),
      (error: unknown) => {
        const trouble = error instanceof Error ? error.message : 'This picture cannot be shown.';
        if (wanted) setLoaded({key, shown: {picture: null, trouble}});
      },
    );
    return () => {
      wanted = false;
    };
  }, [session, key, path, width, height]);
  if (file === null) return nothing;
  return known ?? (loaded.key === key ? loaded.shown : nothing);
};
