import {readdir, stat} from 'node:fs/promises';
import {basename, join} from 'node:path';
import {watch} from 'chokidar';
import {frameKindOf, jpegIsWhole, plainFileOf} from './frame-files.js';

/** A file of the folder that may become a frame. */
export type Arrival = {
  name: string;
  /** performance.now when it was first seen; 0 for what lay there from the start. */
  seenAt: number;
  bytes: number;
  /** Its size stays and its end is there. */
  whole: boolean;
};

export type FolderWatch = {
  /** Every file seen since the start, in the order they were seen. */
  arrivals(): Arrival[];
  /** False while the folder is not there. */
  present(): boolean;
  /** Calls back after anything changed. Returns the unsubscriber. */
  onChange(listener: () => void): () => void;
  close(): Promise<void>;
};

type Known = Arrival & {
  modified: number;
  steadySince: number;
  /** It lay there from the start and wasn't written since. */
  old: boolean;
  /** It has held bytes since it was first seen or written anew. */
  begun: boolean;
};

/** Even where the system tells nothing (network folders), the folder is looked at this often, ms. */
const HEARTBEAT = 1000;

/**
 * Watches a folder for whole files. A file is whole when its size and time have stayed for `settleMs` and, for a JPEG,
 * when its end marker is there; an empty file never is. What lay in the folder before counts only once it is written anew.
 */
export const watchFolder = async (folder: string, settleMs: number): Promise<FolderWatch> => {
  const known = new Map<string, Known>();
  const listeners = new Set<() => void>();
  let present = true;
  let closed = false;
  let looking: Promise<void> | null = null;
  let again = false;
  /** Names that the system told of since the last look. */
  let touched = new Set<string>();
  let timer: NodeJS.Timeout | null = null;

  const tell = (): void => {
    for (const listener of [...listeners]) listener();
  };

  const lookAt = async (name: string, start: boolean): Promise<boolean> => {
    const facts = await plainFileOf(folder, name);
    const before = known.get(name);
    if (!facts) return known.delete(name);
    const now = performance.now();
    if (!before) {
      known.set(name, {
        name,
        seenAt: start ? 0 : now,
        bytes: facts.size,
        whole: false,
        modified: facts.mtimeMs,
        steadySince: now,
        old: start,
        begun: facts.size > 0,
      });
      return true;
    }
    if (before.bytes !== facts.size || before.modified !== facts.mtimeMs) {
      // A whole file that changes is a new one. A name that never held bytes is nothing yet; one that did and was
      // emptied is the same file, sent again from its beginning.
      const anew = before.old || before.whole || !before.begun;
      known.set(name, {
        ...before,
        seenAt: anew ? now : before.seenAt,
        old: false,
        begun: facts.size > 0 || !anew,
        whole: false,
        bytes: facts.size,
        modified: facts.mtimeMs,
        steadySince: now,
      });
      return true;
    }
    if (before.old || before.whole || facts.size === 0 || now - before.steadySince < settleMs) return false;
    if (frameKindOf(name) === 'jpeg' && !(await jpegIsWhole(join(folder, name)))) return false;
    before.whole = true;
    return true;
  };

  const lookOnce = async (start: boolean): Promise<void> => {
    const names = await readdir(folder).catch(() => null);
    const there = names !== null && (await stat(folder).catch(() => null))?.isDirectory() === true;
    let changed = there !== present;
    present = there;
    const wanted = new Set((names ?? []).filter(name => frameKindOf(name) !== null));
    for (const name of known.keys()) {
      if (there && !wanted.has(name)) changed = known.delete(name) || changed;
    }
    const told = touched;
    touched = new Set();
    for (const name of wanted) {
      const file = known.get(name);
      // Settled files are left alone until the system tells of them: a folder may hold thousands.
      if (file && (file.old || file.whole) && !told.has(name)) continue;
      changed = (await lookAt(name, start)) || changed;
    }
    if (changed && !closed) tell();
  };

  const unsettled = (): boolean => [...known.values()].some(file => !file.old && !file.whole && file.bytes > 0);
  const look = (): Promise<void> => {
    if (closed) return Promise.resolve();
    if (looking) {
      again = true;
      return looking;
    }
    if (timer) clearTimeout(timer);
    looking = lookOnce(false).finally(() => {
      looking = null;
      if (closed) return;
      if (again) {
        again = false;
        look();
        return;
      }
      timer = setTimeout(look, unsettled() ? Math.max(20, settleMs / 3) : HEARTBEAT);
      timer.unref();
    });
    return looking;
  };

  await lookOnce(true);
  const events = watch(folder, {
    depth: 0,
    ignoreInitial: true,
    followSymlinks: false,
    ignored: path => path !== folder && frameKindOf(basename(path)) === null,
  });
  events.on('all', (_event, path) => {
    touched.add(basename(path));
    look();
  });
  // The heartbeat still looks where the system refuses to tell.
  events.on('error', () => {
    look();
  });
  await look();
  return {
    arrivals: () =>
      [...known.values()]
        .filter(file => !file.old)
        .sort((a, b) => a.seenAt - b.seenAt || (a.name < b.name ? -1 : 1))
        .map(({name, seenAt, bytes, whole}) => ({name, seenAt, bytes, whole})),
    present: () => present,
    onChange: listener => {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    close: async () => {
      closed = true;
      if (timer) clearTimeout(timer);
      listeners.clear();
      await events.close();
    },
  };
};
