import {appendFile, readFile, rm, writeFile} from 'node:fs/promises';
import path from 'node:path';
import {afterEach, beforeEach, expect, it} from 'vitest';
import {openShoot} from '../../src/shoot/open-shoot.js';
import {pullFrame} from '../../src/shoot/pull.js';
import {darkset} from '../built-program.js';
import {shortEvening} from '../shoot/entries.js';
import {fakeCamera, jumpingClock, temporaryFolder} from '../shoot/fakes.js';

let folder: string;
let remove: () => Promise<void>;

/** A shoot of three attempts with their frames on the disk. */
beforeEach(async () => {
  ({folder, remove} = await temporaryFolder());
  const open = await openShoot(folder, {program: 'darkset test'});
  const camera = fakeCamera({clock: jumpingClock()});
  for (const event of shortEvening(3).slice(1)) {
    if (event.kind === 'plate-taken') continue;
    if (event.kind !== 'frame-pulled') {
      await open.append(event);
      continue;
    }
    const file = await pullFrame({
      camera,
      frame: camera.makeByHand(`DSC_000${event.attempt}.JPG`),
      shootFolder: folder,
      into: `attempts/00${event.attempt}`,
      known: new Set(),
      progress: () => undefined,
      signal: new AbortController().signal,
    });
    await open.append({...event, file});
  }
  await open.close();
});
afterEach(async () => remove());

it('verify says that all is well, with exit code 0', () => {
  const {code, out, err} = darkset(['verify', folder]);
  expect({code, out, err}).toEqual({code: 0, out: '3 files checked; everything is as it was written.\n', err: ''});
});

it('verify lists everything that is wrong, with exit code 1, and changes nothing', async () => {
  const frame = (number: number): string => path.join(folder, `attempts/00${number}/DSC_000${number}.JPG`);
  const bytes = await readFile(frame(1));
  bytes[100]! ^= 1;
  await writeFile(frame(1), bytes);
  await rm(frame(2));
  await appendFile(frame(3), 'x');
  const journal = path.join(folder, 'shoot.jsonl');
  await appendFile(journal, '{"v":1,"kind":"noted"\u001b[2J}\n');
  const before = await readFile(journal);

  const {code, out} = darkset(['verify', folder]);
  expect(code).toBe(1);
  expect(out).toMatch(/^3 files checked; 4 wrong:\n/);
  for (const say of [
    /Line \d+ of the journal is damaged\./,
    /attempts\/001\/DSC_0001\.JPG has changed: its checksum differs\./,
    /attempts\/002\/DSC_0002\.JPG is missing\./,
    /attempts\/003\/DSC_0003\.JPG has 4097 bytes, it was pulled with 4096\./,
  ])
    expect(out).toMatch(say);
  expect(out).not.toContain('\u001b');
  const json = JSON.parse(darkset(['verify', folder, '--json']).out);
  expect(json).toMatchObject({schema: 1, ok: false, kind: 'shoot', files: 3});
  expect(json.problems).toHaveLength(4);
  expect(await readFile(journal)).toEqual(before);
});
