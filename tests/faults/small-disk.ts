import {execFileSync} from 'node:child_process';
import {mkdtempSync, rmdirSync} from 'node:fs';
import {open, rm} from 'node:fs/promises';
import {tmpdir} from 'node:os';
import path from 'node:path';
import type {TestContext} from 'vitest';

export type SmallDisk = {
  folder: string;
  /** Fills it to the last byte. */
  fill(): Promise<void>;
  free(): Promise<void>;
  readOnly(): void;
  remove(): void;
};

const run = (command: string, ...args: string[]): void => {
  execFileSync(command, args, {stdio: 'ignore'});
};

/** A disk of so many bytes, in memory. Where this user may not mount one, the test says so and is left out. */
export const smallDisk = (context: TestContext, bytes: number): SmallDisk => {
  const folder = mkdtempSync(path.join(tmpdir(), 'darkset-disk-'));
  try {
    run('mount', '-t', 'tmpfs', '-o', `size=${bytes}`, 'darkset-test', folder);
  } catch {
    rmdirSync(folder);
    context.skip('needs to mount a small disk: run it as root on Linux');
  }
  const filler = path.join(folder, 'filler');
  return {
    folder,
    async fill() {
      const handle = await open(filler, 'a');
      for (let piece = 1 << 16; piece >= 1; ) {
        const written = await handle.write(Buffer.alloc(piece)).then(
          ({bytesWritten}) => bytesWritten,
          () => 0,
        );
        if (written < piece) piece = piece >> 1;
      }
      await handle.close();
    },
    free: () => rm(filler, {force: true}),
    readOnly: () => run('mount', '-o', 'remount,ro', folder),
    remove() {
      run('umount', '-l', folder);
      rmdirSync(folder);
    },
  };
};
