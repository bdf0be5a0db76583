import {spawnSync} from 'node:child_process';
import path from 'node:path';
import {expect, it} from 'vitest';

const project = path.resolve(import.meta.dirname, '../..');
/** A bench run asks for 1,000. */
const count = Number(process.env.DARKSET_LONG_RUN ?? 150);

it(`${count} attempts in one session hold no more memory than their own record, no more open files, and leave no process`, () => {
  const {stdout: output, stderr} = spawnSync(
    process.execPath,
    ['--expose-gc', '--import', 'tsx', 'tests/faults/long-evening-bench.ts', String(count)],
    {
      cwd: project,
      encoding: 'utf8',
    },
  );
  // Node warns on stderr of listeners that pile up; on a terminal that would spoil the screen.
  expect(stderr).toBe('');
  const {attempts, early, late} = JSON.parse(output.trim().split('\n').at(-1)!) as Record<
    'early' | 'late',
    {heapBytes: number; descriptors: number; children: number}
  > & {attempts: number};
  console.log(output.trim());
  expect(attempts).toBe(count);
  // Each attempt keeps its record (settings, files, verdict's place in the journal): well under 20 kB.
  expect((late.heapBytes - early.heapBytes) / (count * 0.5)).toBeLessThan(20_000);
  expect(late.descriptors).toBe(early.descriptors);
  expect(late.children).toBe(early.children);
}, 600_000);
