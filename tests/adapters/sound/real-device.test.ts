import {mkdirSync, mkdtempSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import {setTimeout as wait} from 'node:timers/promises';
import {execa} from 'execa';
import {expect, onTestFinished, test} from 'vitest';
import {openSound} from '../../../adapters/sound/open-sound.js';
import type {CueSheet} from '../../../shared/cues.js';
import {needs} from '../../needs.js';

const RATE = 22_050;
const packages = 'pulseaudio pulseaudio-utils';

/** A sound server of our own whose only device plays into nothing, and can be recorded. */
const startServer = async (): Promise<NodeJS.ProcessEnv> => {
  const folder = mkdtempSync(path.join(tmpdir(), 'darkset-pulse-'));
  for (const name of ['run', 'home']) mkdirSync(path.join(folder, name), {mode: 0o700});
  const config = path.join(folder, 'server.pa');
  writeFileSync(
    config,
    `load-module module-native-protocol-unix\nload-module module-null-sink sink_name=dark rate=${RATE} channels=1\n`,
  );
  const env = {PATH: process.env.PATH, HOME: path.join(folder, 'home'), XDG_RUNTIME_DIR: path.join(folder, 'run')};
  const args = ['-n', '--daemonize=no', '--exit-idle-time=-1', '--disable-shm=yes', '-F', config];
  const server = execa('pulseaudio', args, {env, extendEnv: false, reject: false});
  onTestFinished(async () => {
    server.kill();
    await server;
  });
  for (let tries = 0; tries < 100; tries++) {
    if (!(await execa('pactl', ['info'], {env, extendEnv: false, reject: false})).failed) return env;
    await wait(100);
  }
  throw new Error('the sound server did not start');
};

const onsets = (samples: Int16Array): number[] => {
  const found: number[] = [];
  let silent = RATE;
  samples.forEach((sample, index) => {
    if (Math.abs(sample) > 60) {
      if (silent > 0.2 * RATE) found.push(index / RATE);
      silent = 0;
    } else silent++;
  });
  return found;
};

test('what a real sound server plays keeps the distances of the sheet, while this thread is busy', async context => {
  needs(context, 'pulseaudio', packages);
  needs(context, 'parec', packages);
  const env = await startServer();
  const sound = await openSound({host: {platform: 'linux', env}, speech: false});
  onTestFinished(() => sound.close());
  const sheet: CueSheet = {
    countdownSeconds: 1,
    cues: [
      {name: 'open', atSeconds: 0, sound: 'tone'},
      {name: 'hold still', atSeconds: 1.25, sound: 'tone'},
      {name: 'closed', atSeconds: 2, sound: 'tone'},
    ],
  };
  const prepared = await sound.prepare(sheet);
  expect(sound.state().output).toBe('device');
  const args = ['--raw', '--format=s16le', `--rate=${RATE}`, '--channels=1', '-d', 'dark.monitor'];
  const recorder = execa('parec', args, {env, extendEnv: false, reject: false, encoding: 'buffer'});
  await wait(500);
  prepared.start();
  await wait(300);
  const busyUntil = performance.now() + 600;
  while (performance.now() < busyUntil);
  await wait(3500);
  recorder.kill();
  const {stdout} = await recorder;
  const recorded = new Int16Array(new Uint8Array(stdout).buffer, 0, Math.floor(stdout.length / 2));
  // The first tone may start with the server's own start; all later ones keep their distance from each other.
  const [, open, holdStill, closed] = onsets(recorded);
  expect(holdStill! - open!).toBeCloseTo(1.25, 2);
  expect(closed! - open!).toBeCloseTo(2, 2);
});
