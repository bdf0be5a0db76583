import {randomUUID} from 'node:crypto';
import {open, rm, stat} from 'node:fs/promises';
import {hostname} from 'node:os';
import path from 'node:path';
import {setTimeout as pause} from 'node:timers/promises';
import {z} from 'zod';
import {plainText} from '../../shared/plain-text.js';
import {readShortText} from '../frame/short-text.js';
import {diskTrouble, errorCode, syncFile} from './disk.js';
import {isRunning, processMark} from './process-mark.js';
import {ShootFault} from './shoot-fault.js';

/** The shoot is in use, or its lock can't be made; one sentence for a person. */
export class LockFault extends ShootFault {
  override name = 'LockFault';
}

const holderSchema = z.object({
  token: z.string().max(100),
  pid: z.number().int().positive(),
  host: z.string().max(300),
  /** Wall-clock time, ISO 8601. */
  since: z.string().max(60),
  /** processMark of the holder; null where its system doesn't tell. */
  mark: z.string().max(200).nullable(),
});
type Holder = z.infer<typeof holderSchema>;

export type Lock = {
  /** Whether a dead program's lock was taken over; then something may have been cut off. */
  tookOver: boolean;
  /** Removes the lock if it is still ours. */
  release(): Promise<void>;
};

const LONGEST_LOCK_BYTES = 10_000;
const LOCK_NAME = 'shoot.lock';
/** Tokens of the locks that this program holds now: a lock of its own that isn't among them was left on a lost disk. */
const heldHere = new Set<string>();
/** Held for the moment in which a dead program's lock is replaced, so that two programs don't both replace it. */
const GUARD_NAME = 'shoot.lock.taking';
/** A lock is written at once after it is made; if it is still empty after this, its maker died in between. */
const SETTLE_MS = 150;

/**
 * Takes the shoot for this program alone. A lock whose process is dead, or whose number now belongs to a later process,
 * is taken over; one of another computer is not, as nobody here can tell.
 * @param now the wall clock
 * @throws LockFault saying who holds it
 */
export const lockShoot = async (folder: string, now: () => Date): Promise<Lock> => {
  const file = path.join(folder, LOCK_NAME);
  const mine: Holder = {
    token: randomUUID(),
    pid: process.pid,
    host: hostname(),
    since: now().toISOString(),
    mark: await processMark(process.pid),
  };
  if (await create(file, mine)) return held(file, mine, false);
  await refuseIfHeld(file);
  await takeOver(folder, file, mine);
  return held(file, mine, true);
};

const held = (file: string, mine: Holder, tookOver: boolean): Lock => ({
  tookOver,
  async release() {
    heldHere.delete(mine.token);
    if ((await readHolder(file))?.token === mine.token) await rm(file, {force: true}).catch(() => undefined);
  },
});

/** @returns false when there is a file of this name already */
const create = async (file: string, holder: Holder): Promise<boolean> => {
  try {
    const handle = await open(file, 'wx', 0o644);
    try {
      heldHere.add(holder.token);
      await handle.writeFile(`${JSON.stringify(holder)}\n`);
      await syncFile(handle);
    } finally {
      await handle.close();
    }
    return true;
  } catch (error) {
    if (errorCode(error) === 'EEXIST') return false;
    heldHere.delete(holder.token);
    await rm(file, {force: true}).catch(() => undefined);
    throw new LockFault(`The shoot ${plainText(path.dirname(file))} can't be locked: ${diskTrouble(error)}.`);
  }
};

/** Replaces a dead program's lock while holding the guard, then makes sure that ours is the one that stayed. */
const takeOver = async (folder: string, file: string, mine: Holder): Promise<void> => {
  const guard = path.join(folder, GUARD_NAME);
  if (!(await create(guard, mine))) {
    if (await isHeld(guard))
      throw new LockFault(`The shoot ${plainText(folder)} is just being opened by another program.`);
    await rm(guard, {force: true});
    if (!(await create(guard, mine))) {
      throw new LockFault(`The shoot ${plainText(folder)} is just being opened by another program.`);
    }
  }
  try {
    await refuseIfHeld(file);
    await rm(file, {force: true});
    await create(file, mine);
    await pause(SETTLE_MS);
    if ((await readHolder(file))?.token !== mine.token) await refuseIfHeld(file);
  } finally {
    await rm(guard, {force: true}).catch(() => undefined);
  }
};

const refuseIfHeld = async (file: string): Promise<void> => {
  const holder = await readSettled(file);
  if (holder === null) return;
  if (holder.host !== hostname()) {
    throw new LockFault(
      `This shoot is open on another computer, ${plainText(holder.host)} (process ${holder.pid}, since ${localTime(holder.since)}). ` +
        `Close it there; if that program no longer runs, delete ${plainText(file)}.`,
    );
  }
  if (await isAlive(holder)) {
    throw new LockFault(
      `This shoot is already open: process ${holder.pid} on ${plainText(holder.host)} has held it since ${localTime(holder.since)}. ` +
        'Close it there first.',
    );
  }
};

const isHeld = async (file: string): Promise<boolean> => {
  const holder = await readSettled(file);
  return holder !== null && (holder.host !== hostname() || (await isAlive(holder)));
};

const isAlive = async ({pid, mark, token}: Holder): Promise<boolean> => {
  if (!isRunning(pid)) return false;
  const markNow = await processMark(pid);
  const isSame = mark === null || markNow === null || mark === markNow;
  return isSame && (pid !== process.pid || heldHere.has(token));
};

/** The holder; waits a moment for one that is just being written. null when nobody can be read from the file. */
const readSettled = async (file: string): Promise<Holder | null> => {
  const holder = await readHolder(file);
  if (holder !== null) return holder;
  const there = await stat(file).catch(() => null);
  if (there === null) return null;
  await pause(SETTLE_MS);
  return readHolder(file);
};

const readHolder = async (file: string): Promise<Holder | null> => {
  try {
    return holderSchema.parse(JSON.parse(await readShortText(file, LONGEST_LOCK_BYTES)));
  } catch {
    return null;
  }
};

const localTime = (iso: string): string => {
  const time = new Date(iso);
  return Number.isNaN(time.getTime())
    ? plainText(iso)
    : `${time.toLocaleTimeString('en-GB')} on ${time.toLocaleDateString('en-GB')}`;
};
