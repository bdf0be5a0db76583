import {execFileSync, spawn} from 'node:child_process';
import {existsSync, mkdirSync, rmSync, statfsSync, statSync} from 'node:fs';
import {open} from 'node:fs/promises';
import path from 'node:path';
import {setTimeout as pause} from 'node:timers/promises';
import {fileURLToPath} from 'node:url';
import type {TestContext} from 'vitest';

/*
 * Real disks with real faults, for tests that run as root on Linux: a small one in memory, one that is taken away, one that
 * lacks what others have.
 */

const mount = (...args: string[]): void => void execFileSync('mount', args, {stdio: 'pipe'});
export const unmount = (folder: string): void => {
  try {
    execFileSync('umount', ['--lazy', folder], {stdio: 'pipe'});
  } catch {
    // It is not mounted any more.
  }
};

let mountable: string | null | undefined;
/** Why no disk can be mounted here; null where one can. */
const whyNot = (): string | null => {
  if (process.platform !== 'linux' || process.getuid?.() !== 0) return 'needs Linux and root, to mount small disks';
  const folder = `/tmp/darkset-mount-${process.pid}`;
  mkdirSync(folder, {recursive: true});
  try {
    mount('-t', 'tmpfs', '-o', 'size=1m', 'tmpfs', folder);
    return null;
  } catch (error) {
    return `needs the right to mount: ${String((error as {stderr?: Buffer}).stderr ?? error).trim()}`;
  } finally {
    unmount(folder);
    rmSync(folder, {recursive: true, force: true});
  }
};

/** Lets a test go on only where small disks can be mounted; elsewhere it is reported as skipped, with the reason. */
export const needsDisks = (context: TestContext): void => {
  mountable = mountable === undefined ? whyNot() : mountable;
  if (mountable !== null) context.skip(mountable);
};

export type SmallDisk = {
  folder: string;
  /** Writes a file of its own until only about so many bytes are free. */
  fill(leaveBytes: number): Promise<void>;
  /** Removes that file. */
  makeRoom(): void;
  readOnly(on: boolean): void;
  remove(): void;
};

/** A disk in memory. */
export const smallDisk = (parent: string, megabytes: number): SmallDisk => {
  const folder = path.join(parent, 'disk');
  mkdirSync(folder);
  mount('-t', 'tmpfs', '-o', `size=${megabytes}m`, 'tmpfs', folder);
  const filler = path.join(folder, 'filler');
  return {
    folder,
    async fill(leaveBytes) {
      const handle = await open(filler, 'a');
      const block = Buffer.alloc(1 << 20, 1);
      try {
        for (;;) {
          const {bavail, bsize} = statfsSync(folder);
          const over = bavail * bsize - leaveBytes;
          if (over <= 0) return;
          await handle.write(block, 0, Math.min(block.length, over));
        }
      } catch (error) {
        if (!(error instanceof Error && 'code' in error && error.code === 'ENOSPC')) throw error;
      } finally {
        await handle.close();
      }
    },
    makeRoom: () => rmSync(filler, {force: true}),
    readOnly: on => mount('-o', `remount,${on ? 'ro' : 'rw'}`, folder),
    remove: () => unmount(folder),
  };
};

/** A folder that can be taken away and brought back with everything in it, as a disk with its cable. */
export const pluggedDisk = (parent: string): {folder: string; unplug(): void; plug(): void} => {
  const real = path.join(parent, 'real');
  const folder = path.join(parent, 'plugged');
  mkdirSync(real);
  mkdirSync(folder);
  mount('--bind', real, folder);
  return {folder, unplug: () => unmount(folder), plug: () => mount('--bind', real, folder)};
};

/** Makes a folder read-only from now on; files that are open elsewhere on its disk don't mind. */
export const readOnlyOver = (folder: string): void => {
  mount('--bind', folder, folder);
  mount('-o', 'remount,bind,ro', folder);
};

export type Oddity = 'no-link' | 'no-sync' | 'no-rename-over' | 'slow';

/** A disk that lacks something. */
export const oddDisk = async (
  parent: string,
  oddities: Oddity[],
): Promise<{folder: string; remove(): Promise<void>}> => {
  const real = path.join(parent, 'under');
  const folder = path.join(parent, 'odd');
  mkdirSync(real);
  mkdirSync(folder);
  const before = statSync(folder).dev;
  const program = fileURLToPath(new URL('./odd-disk.py', import.meta.url));
  const server = spawn('/usr/bin/python3', [program, real, folder, ...oddities], {stdio: ['ignore', 'ignore', 'pipe']});
  let said = '';
  server.stderr.on('data', (text: Buffer) => {
    said += text;
  });
  const ended = new Promise<void>(resolve => server.once('exit', () => resolve()));
  for (let waited = 0; statSync(folder).dev === before; waited += 50) {
    if (waited > 20_000 || server.exitCode !== null) throw new Error(`The odd disk did not come: ${said}`);
    await pause(50);
  }
  return {
    folder,
    async remove() {
      unmount(folder);
      const kill = setTimeout(() => server.kill('SIGKILL'), 3000);
      await ended;
      clearTimeout(kill);
    },
  };
};

export const fuseIsThere = (): boolean => existsSync('/dev/fuse');
