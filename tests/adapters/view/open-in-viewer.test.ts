import {mkdirSync, mkdtempSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import {expect, test} from 'vitest';
import {openInViewer} from '../../../adapters/view/open-in-viewer.js';
import {fakeMachine} from '../fake-machine.js';

const fileNamed = (name: string): string => {
  const file = path.join(mkdtempSync(path.join(tmpdir(), 'darkset-view-')), name);
  writeFileSync(file, 'x');
  return file;
};

const desktop = (body = `say(JSON.stringify(process.argv.slice(2)));`) => {
  const machine = fakeMachine();
  machine.program('xdg-open', body);
  machine.host.env.DISPLAY = ':0';
  return machine;
};

test('the file goes to the opener as one argument, whatever its name holds', async () => {
  const machine = desktop();
  const file = fileNamed('a; touch "b" $(c) `d`.jpg');
  expect(await openInViewer(file, machine.host)).toBeNull();
  expect(machine.log()).toEqual([JSON.stringify([file])]);
});

test.each([
  ['a.desktop', 'a.desktop is no picture or page that a viewer shows.'],
  ['a.sh', 'a.sh is no picture or page that a viewer shows.'],
  ['\u001b[2Ja.exe', ' [2Ja.exe is no picture or page that a viewer shows.'],
])('a file named %j is not opened', async (name, say) => {
  const machine = desktop();
  expect(await openInViewer(fileNamed(name), machine.host)).toBe(say);
  expect(machine.log()).toEqual([]);
});

test('a relative path, a missing file and a folder are not opened', async () => {
  const machine = desktop();
  expect(await openInViewer('a.jpg', machine.host)).toBe('a.jpg could not be opened: its place is not known.');
  expect(await openInViewer('/nowhere/a.jpg', machine.host)).toBe('a.jpg is not there (looked for /nowhere/a.jpg).');
  const folder = path.join(path.dirname(fileNamed('x.png')), 'folder.jpg');
  mkdirSync(folder);
  expect(await openInViewer(folder, machine.host)).toContain('is not there');
  expect(machine.log()).toEqual([]);
});

test('an opener that refuses, and one that is missing, are told in one sentence', async () => {
  const file = fileNamed('a.jpg');
  const say = `xdg-open could not open a.jpg; it lies at ${file}.`;
  expect(await openInViewer(file, desktop('process.exit(3);').host)).toBe(say);
  const machine = fakeMachine();
  machine.host.env.DISPLAY = ':0';
  expect(await openInViewer(file, machine.host)).toBe(say);
});

test('without a desktop nothing is started', async () => {
  const machine = fakeMachine();
  machine.program('xdg-open', `say('started');`);
  const file = fileNamed('a.jpg');
  expect(await openInViewer(file, machine.host)).toBe(`There is no desktop here to open a.jpg in; it lies at ${file}.`);
  expect(machine.log()).toEqual([]);
});
