import {appendFileSync, mkdtempSync, readFileSync, rmSync, symlinkSync, truncateSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import {expect, test} from 'vitest';
import {openShoot} from '../../src/shoot/open-shoot.js';
import {verifyShoot} from '../../src/wrap/verify-shoot.js';
import {wrapUp} from '../../src/wrap/wrap-up.js';
import {makeShoot} from './made-shoot.js';

const two = () => makeShoot([{mark: 'keep'}, {}]);

test('a shoot that is as it was written has no problems, and every file was looked at', async () => {
  const {folder} = await two();
  const seen: number[] = [];
  const found = await verifyShoot(folder, files => seen.push(files));
  expect(found).toMatchObject({kind: 'shoot', files: 6, problems: [], notes: []});
  expect(found.bytes).toBeGreaterThan(6000);
  expect(seen).toEqual([0, 1, 2, 3, 4, 5, 6]);
});

test('one changed byte, a missing file, a cut file and a link in place of a file are each told', async () => {
  const {folder} = await makeShoot([{files: ['A.JPG']}, {files: ['B.JPG']}, {files: ['C.JPG']}, {files: ['D.JPG']}]);
  const file = (name: string): string => path.join(folder, 'attempts', name);
  const bytes = readFileSync(file('001/A.JPG'));
  bytes[bytes.length - 9]! ^= 1;
  writeFileSync(file('001/A.JPG'), bytes);
  rmSync(file('002/B.JPG'));
  truncateSync(file('003/C.JPG'), 100);
  rmSync(file('004/D.JPG'));
  symlinkSync(file('001/A.JPG'), file('004/D.JPG'));
  const {problems} = await verifyShoot(folder);
  expect(problems).toEqual([
    'attempts/001/A.JPG has changed: its checksum differs.',
    'attempts/002/B.JPG is missing.',
    expect.stringMatching(/^attempts\/003\/C\.JPG has 100 bytes, it was pulled with \d+\.$/),
    'attempts/004/D.JPG is a link, not the file that was pulled.',
  ]);
});

test('a damaged line of the journal is a problem with its number', async () => {
  const {folder} = await two();
  const journal = path.join(folder, 'shoot.jsonl');
  const lines = readFileSync(journal, 'utf8').split('\n');
  lines[1] = lines[1]!.replace('"fNumber":8', '"fNumber":9');
  writeFileSync(journal, lines.join('\n'));
  expect((await verifyShoot(folder)).problems).toEqual(['Line 2 of the journal is damaged.']);
});

test('a file nobody knows and an exposure without a file are notes, not problems', async () => {
  const {folder} = await makeShoot([{files: []}]);
  writeFileSync(path.join(folder, 'plates', 'extra\u001b[2J.jpg'), 'x');
  const {problems, notes} = await verifyShoot(folder);
  expect(problems).toEqual([]);
  expect(notes).toEqual([
    'Attempt 1 was exposed and has no file: its frame may still be on the camera.',
    'plates/extra [2J.jpg is not in the journal.',
  ]);
});

test('hand-offs are checked where they can be reached, and the folder of one can be checked by itself', async () => {
  const made = await two();
  const {folder, files} = await wrapUp({
    shoot: made.shoot,
    shootFolder: made.folder,
    destination: path.join(made.parent, 'drive'),
    maybeToo: false,
    progress: () => {},
    signal: new AbortController().signal,
  });
  const opened = await openShoot(made.folder, {program: 'darkset test'});
  await opened.append({kind: 'wrapped', folder, files});
  await opened.append({kind: 'wrapped', folder: '/media/unplugged/lantern-keeper-wrap', files});
  await opened.close();
  expect(await verifyShoot(made.folder)).toMatchObject({
    problems: [],
    notes: ["The hand-off in /media/unplugged/lantern-keeper-wrap can't be reached now."],
  });
  expect(await verifyShoot(folder)).toMatchObject({kind: 'hand-off', problems: []});
  appendFileSync(path.join(folder, files[0]!.path), 'x');
  writeFileSync(path.join(folder, 'data', 'added.txt'), 'x');
  const problems = [`${files[0]!.path} has changed: its checksum differs.`, 'data/added.txt is not in the manifest.'];
  expect((await verifyShoot(folder)).problems).toEqual(problems);
  expect((await verifyShoot(made.folder)).problems).toEqual(
    problems.map(say => `Hand-off lantern-keeper-wrap: ${say}`),
  );
});

test('a manifest that points out of its bag is not followed', async () => {
  const {folder} = await two();
  const bag = mkdtempSync(path.join(tmpdir(), 'darkset-bag-'));
  writeFileSync(path.join(bag, 'bagit.txt'), 'BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n');
  writeFileSync(path.join(bag, 'manifest-sha256.txt'), `${'0'.repeat(64)}  ../${path.basename(folder)}/shoot.jsonl\n`);
  const {problems} = await verifyShoot(bag);
  expect(problems).toEqual([expect.stringMatching(/^A manifest holds a strange line: 0{64} {2}\.\.\//)]);
});

test('a folder without a shoot is one sentence', async () => {
  const empty = mkdtempSync(path.join(tmpdir(), 'darkset-empty-'));
  await expect(verifyShoot(empty)).rejects.toThrow(`There is no shoot in ${empty}`);
});
