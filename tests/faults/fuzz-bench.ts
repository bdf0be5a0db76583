import {spawn} from 'node:child_process';
import {existsSync, mkdtempSync, readFileSync, rmSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import {fileURLToPath} from 'node:url';
import {inputsOf} from './fuzz/kinds.js';
import type {KindReport} from './fuzz/run-kind.js';

/*
 * A long run of hostile input: npx tsx tests/faults/fuzz-bench.ts [inputs] [seed] [kind]. Every kind runs in a process of its
 * own; one that crashes, or works on one input for longer than five seconds, is counted and started again behind it. Where the
 * system tells how long a process has worked, that counts, so that a busy machine is not taken for a hang.
 */

const HANG_MS = 5000;
/** Nothing happens at all: it waits for something that never comes. */
const STILL_MS = 60_000;
/** Linux counts a process's work in ticks of this length. */
const TICK_MS = 10;
const LOOK_MS = 250;
const MOST_SHOWN = 6;

const [, , wanted = '100000', first = String(Math.floor(Math.random() * 1e9)), only] = process.argv;
const program = fileURLToPath(new URL('./fuzz/fuzz-process.ts', import.meta.url));
const memory = '/dev/shm';
const folder = mkdtempSync(path.join(existsSync(memory) ? memory : tmpdir(), 'darkset-fuzz-'));

type Piece = {report: KindReport | null; stoppedAt: number; how: string};

/** Milliseconds of work that a process has done on all cores; null where the system doesn't tell. */
const workedMs = (pid: number): number | null => {
  try {
    const stat = readFileSync(`/proc/${pid}/stat`, 'latin1');
    const fields = stat.slice(stat.lastIndexOf(')') + 2).split(' ');
    return (Number(fields[11]) + Number(fields[12])) * TICK_MS;
  } catch {
    return null;
  }
};

/** Runs inputs of one kind until they are done, or one ends the process. */
const runPiece = (kind: string, from: number, to: number): Promise<Piece> =>
  new Promise(resolve => {
    const child = spawn(process.execPath, ['--import', 'tsx', program, folder, kind, first, String(from), String(to)], {
      stdio: ['ignore', 'pipe', 'pipe'],
      env: {...process.env, NODE_ENV: 'test'},
    });
    let said = '';
    let complaint = '';
    child.stdout.on('data', (text: Buffer) => {
      said += text;
    });
    child.stderr.on('data', (text: Buffer) => {
      complaint = (complaint + text).slice(-2000);
    });
    let last = '';
    let sinceMs = performance.now();
    let sinceWorkMs = 0;
    let hung = false;
    const nowIs = (): string => {
      try {
        return readFileSync(path.join(folder, 'now'), 'latin1').trim();
      } catch {
        return '';
      }
    };
    const look = setInterval(() => {
      const now = nowIs();
      if (now !== last) {
        last = now;
        sinceMs = performance.now();
        sinceWorkMs = workedMs(child.pid ?? 0) ?? 0;
        return;
      }
      const waitedMs = performance.now() - sinceMs;
      const work = workedMs(child.pid ?? 0);
      const isOver = work === null ? waitedMs > HANG_MS : work - sinceWorkMs > HANG_MS || waitedMs > STILL_MS;
      if (now === '' || !isOver) return;
      hung = true;
      child.kill('SIGKILL');
    }, LOOK_MS);
    child.on('close', (code, signal) => {
      clearInterval(look);
      const line = said.trim().split('\n').at(-1) ?? '';
      const report = code === 0 && line.startsWith('{') ? (JSON.parse(line) as KindReport) : null;
      const how = hung ? 'hangs' : `ends the process (${signal ?? code}) ${complaint.slice(-400)}`;
      resolve({report, stoppedAt: Number(nowIs() || from), how});
      rmSync(path.join(folder, 'now'), {force: true});
    });
  });

console.log(`seed ${first}`);
let total = 0;
let wrong = 0;
for (const [kind, inputs] of inputsOf(Number(wanted))) {
  if (only !== undefined && only !== kind) continue;
  const began = performance.now();
  const found: string[] = [];
  let slowestMs = 0;
  for (let from = 0; from < inputs; ) {
    const {report, stoppedAt, how} = await runPiece(kind, from, inputs);
    if (report) {
      slowestMs = Math.max(slowestMs, report.slowestMs);
      found.push(...report.found.map(({index, what}) => `${index}: ${what}`));
      from = inputs;
    } else {
      found.push(`${stoppedAt}: ${how}`);
      from = stoppedAt + 1;
    }
  }
  total += inputs;
  wrong += found.length;
  const seconds = Math.round((performance.now() - began) / 1000);
  console.log(
    `${kind.padEnd(32)} ${String(inputs).padStart(6)} inputs  ${found.length} found  slowest ${Math.round(slowestMs)} ms  ${seconds} s`,
  );
  for (const line of found.slice(0, MOST_SHOWN)) console.log(`    ${line.replaceAll('\n', '\n      ')}`);
  if (found.length > MOST_SHOWN) console.log(`    and ${found.length - MOST_SHOWN} more`);
}
console.log(`${total} inputs, ${wrong} found, seed ${first}`);
rmSync(folder, {recursive: true, force: true});
process.exitCode = wrong === 0 ? 0 : 1;
