import {execFileSync} from 'node:child_process';
import {mkdtempSync, readFileSync, rmSync} from 'node:fs';
import {loadavg, tmpdir} from 'node:os';
import path from 'node:path';
import {setTimeout as sleep} from 'node:timers/promises';
import {builtProgram} from '../built-program.js';
import {keys, openTerminal, type PseudoTerminal} from '../terminal/pseudo-terminal.js';
import {makeShoot} from '../wrap/made-shoot.js';

/*
 * The built program in a real pseudo-terminal: from its start to its first screen, from a key to what it paints with a
 * picture shown, and what it uses while nothing happens. Times are also given in starts of Node that does nothing, made
 * in between: a busy machine is slow in both.
 */

const STARTS = 9;
const KEYS = 60;
const IDLE_SECONDS = 10;

const sorted = (values: number[]): number[] => [...values].sort((a, b) => a - b);
const at = (values: number[], part: number): number =>
  sorted(values)[Math.min(values.length - 1, Math.floor(values.length * part))]!;
const median = (values: number[]): number => at(values, 0.5);

/** Milliseconds until this holds, looked at whenever something was written. */
const timeUntil = async (holds: () => boolean): Promise<number> => {
  const from = performance.now();
  while (!holds()) {
    if (performance.now() - from > 60_000) throw new Error('It never came.');
    await sleep(1);
  }
  return performance.now() - from;
};

const open = (folder: string, columns = 100, rows = 30): PseudoTerminal =>
  openTerminal([process.execPath, builtProgram, folder, '--camera', 'studio', '--no-sound'], {columns, rows});

const leave = async (screen: PseudoTerminal): Promise<void> => {
  screen.type(keys.controlC);
  await Promise.race([screen.ended, sleep(10_000)]);
  screen.kill('SIGKILL');
};

const bareStart = (): number => {
  const from = performance.now();
  execFileSync(process.execPath, ['-e', '0']);
  return performance.now() - from;
};

const start = async (): Promise<{bare: number; first: number; place: number}> => {
  const folder = mkdtempSync(path.join(tmpdir(), 'darkset-start-'));
  const bare = bareStart();
  const screen = open(path.join(folder, 'shoot'));
  const first = await timeUntil(() => screen.written().includes('\u001b[?2026l'));
  const place = first + (await timeUntil(() => screen.written().includes('1 PLAN')));
  await leave(screen);
  rmSync(folder, {recursive: true, force: true});
  return {bare, first, place};
};

/** Milliseconds of processor time that a process has used. */
const cpuMs = (pid: number): number => {
  const fields = readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1]!.split(' ');
  return 10 * (Number(fields[11]) + Number(fields[12]));
};

const keyToPaint = async (screen: PseudoTerminal, pressed: (index: number) => string): Promise<number[]> => {
  const times: number[] = [];
  for (let index = 0; index < KEYS; index++) {
    const before = screen.written().length;
    screen.type(pressed(index));
    times.push(await timeUntil(() => screen.written().indexOf('\u001b[?2026l', before) >= 0));
    await sleep(100);
  }
  return times;
};

const starts: Awaited<ReturnType<typeof start>>[] = [];
for (let made = 0; made < STARTS; made++) starts.push(await start());
const bare = median(starts.map(one => one.bare));
const inStarts = (ms: number): string => `${ms.toFixed(0)} ms, ${(ms / bare).toFixed(1)} × a start of Node`;
const said = (what: string, text: string): void => console.log(`${what.padEnd(34)}${text}`);

said('load of the machine', loadavg()[0]!.toFixed(1));
said('Node that does nothing', `${bare.toFixed(0)} ms, the measure of the others`);
said('start to whose shoot it is', inStarts(median(starts.map(one => one.first))));
said('start to the first place', `${inStarts(median(starts.map(one => one.place)))} (at most 400 ms)`);

const shoot = await makeShoot(Array.from({length: 8}, () => ({})));
for (const [columns, rows] of [
  [80, 24],
  [140, 45],
] as const) {
  const screen = open(shoot.folder, columns, rows);
  await screen.until(/2 PLATES[\s\S]*lock/, 60_000);
  screen.type('3');
  await screen.until(/3 ATTEMPT[\s\S]*▀{20}/, 60_000);
  await sleep(2000);
  const marks = await keyToPaint(screen, () => 'z');
  screen.type('4');
  await screen.until(/4 LOOK BACK[\s\S]*▀{20}/);
  await sleep(1000);
  const moves = await keyToPaint(screen, index => (index % 8 < 4 ? keys.up : keys.down));
  const all = [...marks, ...moves];
  said(
    `key to paint at ${columns} × ${rows}`,
    `p50 ${at(all, 0.5).toFixed(0)} ms, p95 ${inStarts(at(all, 0.95))} (at most 50 ms)`,
  );
  await sleep(2000);
  const {pid} = screen;
  const usedMs = cpuMs(pid);
  await sleep(1000 * IDLE_SECONDS);
  said(
    `idle at ${columns} × ${rows}`,
    `${((cpuMs(pid) - usedMs) / (10 * IDLE_SECONDS)).toFixed(1)} % of a core (at most 1 %)`,
  );
  await leave(screen);
}
rmSync(shoot.parent, {recursive: true, force: true});
