import {expect, test} from 'vitest';
import {keepAwake} from '../../../adapters/awake/keep-awake.js';
import {needs} from '../../needs.js';
import {fakeMachine} from '../fake-machine.js';

/** Holds, as the real ones do, for as long as the program at its end runs; that program is cat. */
const holder = `
say('held ' + process.argv.slice(2).join(' '));
process.stdin.pipe(process.stdout);
process.stdin.on('end', () => { say('let go'); process.exit(0); });
process.on('SIGTERM', () => { say('let go'); process.exit(0); });
`;

test('the machine is held awake until it is released', async () => {
  const machine = fakeMachine();
  machine.program('systemd-inhibit', holder);
  const awake = await keepAwake(machine.host);
  expect(awake.warning).toBeNull();
  expect(machine.log()).toEqual(['held --what=idle:sleep --who=darkset --why=a shoot is running --mode=block cat']);
  await awake.release();
  expect(machine.log()).toContain('let go');
});

test('on another system its own program holds', async () => {
  const machine = fakeMachine('darwin');
  machine.program('caffeinate', holder);
  const awake = await keepAwake(machine.host);
  expect(machine.log()).toEqual(['held -i -m -s cat']);
  await awake.release();
});

test.each([
  ['is missing', null],
  ['fails', `process.stderr.write('Failed to connect to bus'); process.exit(1);`],
])('where the program %s, it is a warning and nothing else', async (_what, body) => {
  const machine = fakeMachine();
  if (body) machine.program('systemd-inhibit', body);
  const awake = await keepAwake(machine.host);
  expect(awake.warning).toBe('This computer may fall asleep during the shoot; switch its sleep off.');
  await awake.release();
});

test('an unknown system is a warning', async () => {
  const awake = await keepAwake(fakeMachine('aix').host);
  expect(awake.warning).toContain('does not fall asleep');
});

test('the real systemd-inhibit ends with a hold or a warning, never with an error', async context => {
  needs(context, 'systemd-inhibit', 'systemd');
  const awake = await keepAwake();
  expect(awake.warning === null || awake.warning.includes('may fall asleep')).toBe(true);
  await awake.release();
});
