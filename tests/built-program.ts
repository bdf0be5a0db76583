import {spawnSync} from 'node:child_process';
import {existsSync} from 'node:fs';
import path from 'node:path';

/** The project's folder. */
export const projectFolder = path.resolve(import.meta.dirname, '..');

/** The program as it is shipped. Tests run this, not the sources: `npm test` builds it first. */
export const builtProgram = path.join(projectFolder, 'dist/src/command/main.js');

if (!existsSync(builtProgram)) throw new Error('These tests run the built program: npm run build first.');

export type Run = {code: number | null; out: string; err: string};

/** Runs the built program to its end, without a terminal. */
export const darkset = (args: string[], options: {cwd?: string} = {}): Run => {
  const {status, stdout, stderr} = spawnSync(process.execPath, [builtProgram, ...args], {
    encoding: 'utf8',
    timeout: 60_000,
    maxBuffer: 64 * 1024 * 1024,
    ...options,
  });
  return {code: status, out: stdout, err: stderr};
};
