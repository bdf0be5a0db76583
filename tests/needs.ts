import {execFileSync} from 'node:child_process';
import type {TestContext} from 'vitest';

/** What a test may need of the machine: a command, a Python module, or a shared library (by its soname). */
export type Need = string | {command: string} | {python: string} | {library: string};

const runs = (command: string, args: string[]): string | null => {
  try {
    return execFileSync(command, args, {encoding: 'utf8', stdio: ['ignore', 'pipe', 'ignore'], timeout: 60_000});
  } catch {
    return null;
  }
};

const isThere = (need: Exclude<Need, string>): boolean => {
  if ('command' in need) return runs('sh', ['-c', 'command -v "$1"', 'sh', need.command]) !== null;
  if ('python' in need) return runs('/usr/bin/python3', ['-c', `import ${need.python}`]) !== null;
  return (runs('/sbin/ldconfig', ['-p']) ?? '').includes(`${need.library} `);
};

const nameOf = (need: Exclude<Need, string>): string => {
  if ('command' in need) return `the command ${need.command}`;
  if ('python' in need) return `the Python module ${need.python}`;
  return `the library ${need.library}`;
};

const seen = new Map<string, boolean>();

/**
 * Lets a test go on only where what it needs is installed. Elsewhere the test is reported as skipped, with the line that
 * installs it; with CI=true it fails, so that nothing is left out unseen.
 * @param need a command's name, or {python: module} for Debian's /usr/bin/python3, or {library: 'libgphoto2.so.6'}
 * @param debianPackages what to install, separated by spaces
 */
export const needs = (context: TestContext, need: Need, debianPackages: string): void => {
  const wanted = typeof need === 'string' ? {command: need} : need;
  const key = JSON.stringify(wanted);
  const there = seen.get(key) ?? isThere(wanted);
  seen.set(key, there);
  if (there) return;
  const reason = `needs ${nameOf(wanted)}: apt-get install ${debianPackages}`;
  if (process.env.CI === 'true') throw new Error(`This test ${reason}`);
  context.skip(reason);
};
