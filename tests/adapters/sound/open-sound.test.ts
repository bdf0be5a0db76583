import {setTimeout as wait} from 'node:timers/promises';
import {afterEach, expect, test} from 'vitest';
import {openSound, type SoundOptions} from '../../../adapters/sound/open-sound.js';
import {testSound} from '../../../adapters/sound/test-sound.js';
import type {CueSheet} from '../../../shared/cues.js';
import type {Sound} from '../../../shared/sound.js';
import {fakeMachine, playerOfStdin, playerWithoutDevice, speechProgram} from '../fake-machine.js';

const opened: Sound[] = [];
const open = async (options: SoundOptions): Promise<Sound> => {
  const sound = await openSound(options);
  opened.push(sound);
  return sound;
};
afterEach(async () => {
  await Promise.all(opened.splice(0).map(sound => sound.close()));
});

/** Ticks at 0 and 1 s, cues at 2 and 2.5 s; at speed 20 all of it within 125 ms. */
const sheet: CueSheet = {
  countdownSeconds: 2,
  cues: [
    {name: 'open', atSeconds: 0, sound: 'tone'},
    {name: 'closed', atSeconds: 0.5, sound: 'both'},
  ],
};

const until = async (holds: () => boolean): Promise<void> => {
  for (let waited = 0; !holds(); waited += 20) {
    if (waited > 10_000) throw new Error('waited ten seconds in vain');
    await wait(20);
  }
};

const settled = async (sound: Sound): Promise<void> => until(() => !sound.state().say.startsWith('Looking'));

test('opening comes back at once and says that it is still looking', async () => {
  const machine = fakeMachine();
  machine.program('paplay', 'setTimeout(() => {}, 60000);');
  const sound = await open({host: machine.host});
  expect(sound.state()).toEqual({output: 'bell', speech: false, say: 'Looking for a sound device.'});
});

test('a player that plays and a voice that speaks are found, and what is found is told', async () => {
  const machine = fakeMachine();
  machine.program('paplay', playerOfStdin);
  machine.program('espeak-ng', speechProgram);
  const sound = await open({host: machine.host});
  const states: string[] = [];
  sound.watch?.(state => states.push(state.say));
  await settled(sound);
  expect(sound.state()).toMatchObject({output: 'device', speech: true});
  expect(states).toEqual(['Cues and verdicts are heard through paplay.']);
});

test('a player without a device is passed over for one that has one', async () => {
  const machine = fakeMachine();
  machine.program('paplay', playerWithoutDevice);
  machine.program('aplay', playerOfStdin);
  const sound = await open({host: machine.host, speech: false});
  await settled(sound);
  expect(sound.state().say).toBe('Cues are heard as tones through aplay; the voice is switched off.');
});

test('one stream holds the whole sheet and goes to one player', async () => {
  const machine = fakeMachine();
  machine.program('paplay', `say('started'); ${playerOfStdin}`);
  const sound = await open({host: machine.host, speech: false});
  (await sound.prepare(sheet)).start();
  await until(() => machine.log().length === 4);
  // The probe's moment of silence, then the sheet: 2.5 s and the last tone's 0.6 s, 16-bit samples at 22,050 Hz.
  expect(machine.log().filter(line => line === 'started')).toHaveLength(2);
  expect(Number(machine.log()[3]!.split(' ')[1])).toBeCloseTo((2.5 + 0.6) * 22_050 * 2, -3);
});

test('starting returns the moment of "go" on the given clock, and starting again is the same run', async () => {
  const machine = fakeMachine();
  machine.program('paplay', playerOfStdin);
  const sound = await open({host: machine.host, speech: false, now: () => 1234});
  const prepared = await sound.prepare(sheet);
  const run = prepared.start();
  expect(run.startedAtMs).toBe(1234);
  expect(prepared.start()).toBe(run);
});

test('without any player the bell rings at every tick and cue, and it says so', async () => {
  const machine = fakeMachine();
  let rung = 0;
  const sound = await open({host: machine.host, speed: 20, ring: () => rung++});
  const prepared = await sound.prepare(sheet);
  expect(sound.state()).toEqual({
    output: 'bell',
    speech: false,
    say: 'No sound device answers (tried paplay, pw-play, aplay): cues come by the terminal bell and large text.',
  });
  prepared.start();
  await until(() => rung === 4);
  await wait(100);
  expect(rung).toBe(4);
});

test('a bell that was stopped rings no more', async () => {
  let rung = 0;
  const sound = await open({host: fakeMachine().host, speed: 20, ring: () => rung++});
  (await sound.prepare(sheet)).start().stop();
  await wait(200);
  expect(rung).toBe(0);
});

test('when the device goes away in the middle, the bell takes over and it is said', async () => {
  const machine = fakeMachine();
  machine.program(
    'paplay',
    `process.stdin.once('data', data => setTimeout(() => process.exit(data.length > 4000 ? 1 : 0), 100));`,
  );
  let rung = 0;
  const sound = await open({host: machine.host, speech: false, ring: () => rung++});
  const run = (await sound.prepare(sheet)).start();
  await until(() => rung > 0);
  expect(sound.state().say).toBe('The sound device went away: cues come by the terminal bell and large text.');
  run.stop();
});

test('a device that is plugged in later serves from the next countdown on', async () => {
  const machine = fakeMachine();
  const sound = await open({host: machine.host, speech: false});
  await sound.prepare(sheet);
  expect(sound.state().output).toBe('bell');
  machine.program('aplay', playerOfStdin);
  await sound.prepare(sheet);
  expect(sound.state().output).toBe('device');
});

test('a player that never ends its first sound does not hold up an attempt for long', {timeout: 60_000}, async () => {
  const machine = fakeMachine();
  machine.program('paplay', `process.on('SIGTERM', () => {}); setTimeout(() => {}, 60000);`);
  let rung = 0;
  const sound = await open({host: machine.host, speed: 20, ring: () => rung++});
  (await sound.prepare(sheet)).start();
  await until(() => rung === 4);
});

/** A player that takes the probe and then never ends by itself; it logs its process number. */
const endlessPlayer = `
say(String(process.pid));
process.stdin.on('data', data => data.length < 4000 && process.exit(0));
setTimeout(() => {}, 60000);
`;

const isRunning = (pid: string | undefined): boolean => {
  try {
    process.kill(Number(pid), 0);
    return true;
  } catch {
    return false;
  }
};

test('a stopped stream ends its player, and stopping is not a lost device', async () => {
  const machine = fakeMachine();
  machine.program('paplay', endlessPlayer);
  const sound = await open({host: machine.host, speech: false});
  const run = (await sound.prepare(sheet)).start();
  await until(() => machine.log().length === 2);
  expect(isRunning(machine.log()[1])).toBe(true);
  run.stop();
  await until(() => !isRunning(machine.log()[1]));
  expect(sound.state().output).toBe('device');
});

test('a stream that was prepared twice keeps only the newer player', async () => {
  const machine = fakeMachine();
  machine.program('paplay', endlessPlayer);
  const sound = await open({host: machine.host, speech: false});
  const first = await sound.prepare(sheet);
  await until(() => machine.log().length === 2);
  await sound.prepare(sheet);
  await until(() => machine.log().length === 3 && !isRunning(machine.log()[1]));
  expect(isRunning(machine.log()[2])).toBe(true);
  first.start();
  await wait(50);
  expect(sound.state().output).toBe('device');
});

test('closing ends every player', async () => {
  const machine = fakeMachine();
  machine.program('paplay', endlessPlayer);
  const sound = await open({host: machine.host, speech: false});
  (await sound.prepare(sheet)).start();
  await sound.prepare(sheet);
  await until(() => machine.log().length === 3);
  await sound.close();
  expect(machine.log().filter(isRunning)).toEqual([]);
});

test('texts are spoken one after another as clean text on stdin, and waiting ends when they were played', async () => {
  const machine = fakeMachine();
  machine.program('paplay', playerOfStdin);
  machine.program('espeak-ng', speechProgram);
  const sound = await open({host: machine.host});
  await Promise.all([sound.say('--help'), sound.say('\u001b[2JSpill −4.8 EV'), sound.say('')]);
  expect(machine.log().filter(line => line.startsWith('asked'))).toEqual([
    'asked to say "ready" -v en -s 165 -w --stdin',
    'asked to say "help" -v en -s 165 -w --stdin',
    'asked to say "2JSpill minus 4.8 E V" -v en -s 165 -w --stdin',
  ]);
  expect(machine.log().filter(line => line === 'played 22050')).toHaveLength(2);
});

test('only the newest three texts wait; older ones give way', async () => {
  const machine = fakeMachine();
  machine.program('paplay', playerOfStdin);
  machine.program('espeak-ng', speechProgram);
  const sound = await open({host: machine.host});
  await settled(sound);
  await Promise.all(['one', 'two', 'three', 'four', 'five', 'six'].map(text => sound.say(text)));
  const said = machine.log().flatMap(line => /asked to say "(\w+)"/.exec(line)?.[1] ?? []);
  expect(said).toEqual(['ready', 'one', 'four', 'five', 'six']);
});

test('speech without a voice or after closing is over at once', async () => {
  const machine = fakeMachine();
  machine.program('paplay', playerOfStdin);
  const sound = await open({host: machine.host});
  await sound.say('nobody speaks');
  await sound.close();
  await sound.say('closed');
  (await sound.prepare(sheet)).start().stop();
  expect(machine.log()).toEqual(['played 2204']);
});

test('a beginning countdown silences what is being said', async () => {
  const machine = fakeMachine();
  machine.program(
    'paplay',
    `process.on('SIGTERM', () => { say('silenced'); process.exit(0); });
     process.stdin.once('data', data => { if (data.length > 4000) setTimeout(() => {}, 60000); else process.exit(0); });`,
  );
  machine.program('espeak-ng', speechProgram);
  const sound = await open({host: machine.host});
  const prepared = await sound.prepare(sheet);
  const said = sound.say('a long story');
  await until(() => machine.log().some(line => line.includes('a long story')));
  await wait(300);
  prepared.start();
  await said;
  expect(sound.state().output).toBe('device');
});

test('a speech program that writes no sound counts as none', async () => {
  const machine = fakeMachine();
  machine.program('paplay', playerOfStdin);
  machine.program('espeak-ng', `fs.writeFileSync(process.argv.find(part => part.endsWith('.wav')), 'no sound');`);
  const sound = await open({host: machine.host});
  await settled(sound);
  expect(sound.state().say).toBe(
    'Cues are heard as tones through paplay; no speech program was found (espeak-ng is one).',
  );
});

test('where players take only files, the file holds the stream and is gone afterwards', async () => {
  const machine = fakeMachine('darwin');
  machine.program('afplay', `const file = process.argv[2]; say(file + ' ' + fs.statSync(file).size);`);
  machine.program('say', speechProgram);
  const sound = await open({host: machine.host});
  await sound.say('hello');
  const [, played] = machine.log().filter(line => line.endsWith('.wav 22094') || line.includes('.wav '));
  expect(played).toMatch(/ 22094$/);
  expect(machine.log().find(line => line.includes('hello'))).toBe(
    'asked to say "hello" -r 165 -o --file-format=WAVE --data-format=LEI16@22050 -f -',
  );
  const {existsSync} = await import('node:fs');
  expect(existsSync(played!.split(' ')[0]!)).toBe(false);
});

test('where the system loads a file and waits for a word, it gets both', async () => {
  const machine = fakeMachine('win32');
  machine.program(
    'powershell.exe',
    `process.stdin.on('data', data => { say(fs.readFileSync(process.env.DARKSET_WAV).length + data.toString().trim()); process.exit(0); });`,
  );
  const sound = await open({host: machine.host, speech: false});
  (await sound.prepare(sheet)).start();
  await until(() => machine.log().length === 2);
  expect(machine.log()[0]).toBe('2248begin');
  expect(sound.state().say).toContain('powershell.exe');
});

test('the sound test plays every cue and says what serves', async () => {
  const machine = fakeMachine();
  machine.program('paplay', playerOfStdin);
  const state = await testSound({host: machine.host, speed: 20});
  expect(state).toMatchObject({output: 'device', speech: false});
  expect(machine.log().length).toBeGreaterThanOrEqual(1);
});
