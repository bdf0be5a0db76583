import {type ChildProcess, spawn} from 'node:child_process';
import {readdir, readFile, writeFile} from 'node:fs/promises';
import {hostname} from 'node:os';
import path from 'node:path';
import {afterEach, beforeEach, describe, expect, it} from 'vitest';
import {LockFault, lockShoot} from '../../src/shoot/lock.js';
import {processMark} from '../../src/shoot/process-mark.js';
import {temporaryFolder} from './fakes.js';

const now = (): Date => new Date('2026-11-25T20:00:00Z');
let folder: string;
let remove: () => Promise<void>;
const children: ChildProcess[] = [];

beforeEach(async () => {
  ({folder, remove} = await temporaryFolder());
});
afterEach(async () => {
  for (const child of children.splice(0)) child.kill('SIGKILL');
  await remove();
});

/** Another program that does nothing for a while. */
const otherProgram = async (): Promise<{pid: number; kill(): Promise<void>}> => {
  const child = spawn(process.execPath, ['-e', 'setTimeout(() => undefined, 60_000)'], {stdio: 'ignore'});
  children.push(child);
  const gone = new Promise<void>(resolve => child.once('exit', () => resolve()));
  return {
    pid: child.pid!,
    async kill() {
      child.kill('SIGKILL');
      await gone;
    },
  };
};

const lockOf = async (pid: number, change: object = {}): Promise<void> => {
  const holder = {
    token: 'other',
    pid,
    host: hostname(),
    since: now().toISOString(),
    mark: await processMark(pid),
    ...change,
  };
  await writeFile(path.join(folder, 'shoot.lock'), JSON.stringify(holder));
};

describe('the lock of a shoot', () => {
  it('keeps a second one out and says who holds it and since when', async () => {
    const {pid} = await otherProgram();
    await lockOf(pid);
    const fault = await lockShoot(folder, now).catch(error => error);
    expect(fault).toBeInstanceOf(LockFault);
    expect(fault.message).toMatch(
      new RegExp(
        `^This shoot is already open: process ${pid} on ${hostname()} has held it since .*2026\\. Close it there first\\.$`,
      ),
    );
  });

  it('is gone when it was released, and only its own', async () => {
    const lock = await lockShoot(folder, now);
    expect(lock.tookOver).toBe(false);
    await lock.release();
    expect(await readdir(folder)).toEqual([]);
    const {pid} = await otherProgram();
    await lockOf(pid);
    await lock.release();
    expect(await readdir(folder)).toEqual(['shoot.lock']);
  });

  it('is taken over from a program that is dead', async () => {
    const other = await otherProgram();
    await lockOf(other.pid);
    await other.kill();
    const lock = await lockShoot(folder, now);
    expect(lock.tookOver).toBe(true);
    expect(JSON.parse(await readFile(path.join(folder, 'shoot.lock'), 'utf8')).pid).toBe(process.pid);
    expect(await readdir(folder)).toEqual(['shoot.lock']);
    await lock.release();
  });

  it('is taken over when the number of the dead program now belongs to another one', async () => {
    const {pid} = await otherProgram();
    await lockOf(pid, {mark: 'started in another life'});
    expect((await lockShoot(folder, now)).tookOver).toBe(true);
  });

  it('is left alone when another computer holds it, and says how to free it', async () => {
    await lockOf(1, {host: 'attic\u001b[2J'});
    const fault: LockFault = await lockShoot(folder, now).catch(error => error);
    expect(fault.message).toMatch(/^This shoot is open on another computer, attic \[2J .*delete .*shoot\.lock\.$/);
  });

  it.each(['', '{"pid":', 'null', '{"pid":"1"}'])(
    'that holds only %j is one whose maker died, and is taken over',
    async content => {
      await writeFile(path.join(folder, 'shoot.lock'), content);
      expect((await lockShoot(folder, now)).tookOver).toBe(true);
    },
  );

  it('goes to exactly one of many that find a dead lock at the same time', async () => {
    const other = await otherProgram();
    await lockOf(other.pid);
    await other.kill();
    const tries = await Promise.allSettled(Array.from({length: 8}, () => lockShoot(folder, now)));
    expect(tries.filter(({status}) => status === 'fulfilled')).toHaveLength(1);
    for (const tried of tries) if (tried.status === 'rejected') expect(tried.reason).toBeInstanceOf(LockFault);
  });
});
