import {execFileSync} from 'node:child_process';
import {chmodSync, mkdirSync, readFileSync, writeFileSync} from 'node:fs';
import path from 'node:path';
import {afterAll, beforeAll, expect, test} from 'vitest';
import {builtProgram, darkset} from '../built-program.js';
import {keys, openTerminal} from '../terminal/pseudo-terminal.js';
import {makeShoot} from '../wrap/made-shoot.js';

/*
 * What the help shows is what a person types first: every example of every command is run as it stands, in a folder with
 * a shoot called my-shoot and a command called darkset.
 */

let folder = '';
let environment: NodeJS.ProcessEnv = {};

beforeAll(async () => {
  const nothing = {files: [], reading: null};
  const seventh = {files: ['FRAME.JPG'], mark: 'keep' as const};
  const made = await makeShoot([nothing, nothing, nothing, nothing, nothing, nothing, seventh], {name: 'my-shoot'});
  folder = made.parent;
  mkdirSync(path.join(folder, 'incoming'));
  mkdirSync(path.join(folder, 'bin'));
  const command = path.join(folder, 'bin/darkset');
  writeFileSync(command, `#!/bin/sh\nexec '${process.execPath}' '${builtProgram}' "$@"\n`);
  chmodSync(command, 0o755);
  // Nothing of this machine: caches, settings and logs go into the folder too.
  environment = {...process.env, HOME: folder, PATH: `${path.join(folder, 'bin')}:${process.env.PATH}`};
});
afterAll(() => execFileSync('rm', ['-rf', folder]));

/** The examples of a command's help. */
const examplesOf = (command: string): string[] => {
  const {code, out, err} = darkset([...(command ? [command] : []), '--help']);
  expect({code, err}).toEqual({code: 0, err: ''});
  const lines = out.split('\nExample:\n')[1] ?? '';
  return lines.split('\n').flatMap(line => (line.startsWith('  darkset') ? [line.trim()] : []));
};

/** Runs a line as a shell would and returns what it prints. */
const run = (line: string): string =>
  execFileSync('sh', ['-c', line], {
    cwd: folder,
    env: environment,
    encoding: 'utf8',
    stdio: ['ignore', 'pipe', 'pipe'],
  });

test.each([
  ['plan', /EV/],
  ['measure', /FRAME\.JPG/],
  ['attempts', /my-shoot: 7 attempts/],
  ['verify', /everything is as it was written/],
  ['wrap', /1 file handed off, checked after writing: .*hand-off/],
])('every example in the help of %s runs', (command, prints) => {
  const examples = examplesOf(command);
  expect(examples.length).toBeGreaterThan(0);
  const printed = examples.map(run).join('\n');
  expect(printed).toMatch(prints);
});

test('the example of attempts for a spreadsheet leaves one', () => {
  expect(readFileSync(path.join(folder, 'attempts.csv'), 'utf8').split('\r\n')[0]).toMatch(/^attempt,at,.*shutter_s/);
});

test('the example in the help of doctor runs, whatever it finds', () => {
  const [example = expect.fail()] = examplesOf('doctor');
  expect(run(`${example} || true`)).toMatch(/^ok {5}program/);
});

test('every example of the program itself opens the screens on its shoot', {timeout: 90_000}, async () => {
  const examples = examplesOf('');
  expect(examples.length).toBeGreaterThan(1);
  for (const example of examples) {
    const program = [path.join(folder, 'bin/darkset'), ...example.split(' ').slice(1)];
    const terminal = openTerminal(program, {columns: 80, rows: 24, folder, environment});
    try {
      await terminal.until(new RegExp(`^ ${program[1]}.*(PLAN|PLATES|ATTEMPT)`, 'm'));
      terminal.type(keys.controlC);
      expect(await terminal.ended).toBe(0);
    } finally {
      terminal.kill('SIGKILL');
    }
  }
});
