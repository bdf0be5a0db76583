import {readFile, writeFile} from 'node:fs/promises';
import path from 'node:path';
import type {JournalEntry} from '../../shared/journal.js';
import {printLine} from '../../src/shoot/journal-line.js';
import {openShoot} from '../../src/shoot/open-shoot.js';
import {shortEvening, wholeAttempt} from '../shoot/entries.js';
import {temporaryFolder} from '../shoot/fakes.js';

/*
 * How long a journal of so many attempts takes to open, and what it then holds:
 * node --expose-gc --import tsx tests/faults/bench-journal.ts [attempts]
 */
const count = Number(process.argv[2] ?? 10_000);
const at = '2026-11-25T20:00:00.000Z';
const {folder, remove} = await temporaryFolder();
const lines = [
  ...shortEvening(0).slice(0, 5),
  ...Array.from({length: count}, (_, done) => wholeAttempt(done + 1)).flat(),
].map(event => printLine({v: 1, at, ...event} as JournalEntry));
const journalBytes = lines.reduce((sum, line) => sum + line.length, 0);
await writeFile(path.join(folder, 'shoot.jsonl'), Buffer.concat(lines));
lines.length = 0;

for (let round = 1; round <= 3; round++) {
  globalThis.gc?.();
  const heapBefore = process.memoryUsage().heapUsed;
  const parseStart = performance.now();
  for (const line of (await readFile(path.join(folder, 'shoot.jsonl'), 'utf8')).split('\n')) if (line) JSON.parse(line);
  const parseMs = performance.now() - parseStart;
  const cpuBefore = process.cpuUsage();
  const start = performance.now();
  const open = await openShoot(folder, {program: 'bench'});
  const wallMs = performance.now() - start;
  const cpuMs = process.cpuUsage(cpuBefore).user / 1000;
  globalThis.gc?.();
  const heldBytes = process.memoryUsage().heapUsed - heapBefore;
  const attempts = open.shoot().attempts.length;
  await open.close();
  console.log(
    JSON.stringify({
      round,
      attempts,
      journalBytes,
      wallMs: Math.round(wallMs),
      /** Against only reading and parsing the same file in the same round. */
      timesParsing: Number((wallMs / parseMs).toFixed(2)),
      cpuMs: Math.round(cpuMs),
      heldBytes,
      rss: process.memoryUsage().rss,
    }),
  );
}
await remove();
