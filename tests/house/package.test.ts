import {execFileSync, spawnSync} from 'node:child_process';
import {mkdtempSync, readFileSync, rmSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import {afterAll, expect, test} from 'vitest';
import {projectFolder} from '../built-program.js';

const elsewhere = mkdtempSync(path.join(tmpdir(), 'darkset-package-'));
afterAll(() => rmSync(elsewhere, {recursive: true, force: true}));

test('the package installs in an empty folder, without install scripts, and runs there', {timeout: 180_000}, () => {
  const npm = (args: string[], cwd: string): string =>
    execFileSync('npm', args, {cwd, encoding: 'utf8', stdio: ['ignore', 'pipe', 'pipe']});
  // Built already by the line that runs the tests; building again under running tests would pull files from under them.
  const name = npm(['pack', '--silent', '--ignore-scripts', '--pack-destination', elsewhere], projectFolder).trim();
  npm(['init', '-y'], elsewhere);
  npm(['install', '--ignore-scripts', '--omit=dev', '--prefer-offline', `./${name}`], elsewhere);
  const {status, stdout} = spawnSync(
    path.join(elsewhere, 'node_modules/.bin/darkset'),
    ['plan', '--shutter', '8', '--aperture', '8', '--iso', '100', '--json'],
    {cwd: elsewhere, encoding: 'utf8'},
  );
  expect(status).toBe(0);
  expect(JSON.parse(stdout).exposure.ev100).toBeCloseTo(3, 9);
  // The decoder is a native library; it works without its install script as well.
  const measured = spawnSync(
    path.join(elsewhere, 'node_modules/.bin/darkset'),
    ['measure', path.join(projectFolder, 'fixtures/demo/attempts/1.jpg'), '--json'],
    {cwd: elsewhere, encoding: 'utf8'},
  );
  expect(measured.status).toBe(0);
  expect(JSON.parse(measured.stdout).schema).toBe(1);
});

test('the lock file holds no registry addresses', () => {
  const lock = readFileSync(path.join(projectFolder, 'package-lock.json'), 'utf8');
  expect(lock).not.toMatch(/"resolved"|https?:\/\/[^"]*\.tgz/);
});
