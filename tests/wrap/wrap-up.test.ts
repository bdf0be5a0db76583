import {execFileSync, spawn} from 'node:child_process';
import {once} from 'node:events';
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import {expect, test} from 'vitest';
import {planWrap} from '../../src/wrap/plan-wrap.js';
import {verifyBag} from '../../src/wrap/verify-bag.js';
import {type WrapInput, wrapUp} from '../../src/wrap/wrap-up.js';
import {needs} from '../needs.js';
import {type MadeShoot, makeShoot} from './made-shoot.js';

const inputFor = ({shoot, folder}: MadeShoot, more: Partial<WrapInput> = {}): WrapInput => ({
  shoot,
  shootFolder: folder,
  destination: null,
  maybeToo: false,
  progress: () => {},
  signal: new AbortController().signal,
  now: () => new Date('2026-03-15T09:00:00Z'),
  ...more,
});

const threeAttempts = () =>
  makeShoot([
    {mark: 'drop'},
    {mark: 'keep', files: ['DSC_102.JPG', 'DSC_102.DNG'], notes: ['chin a little down']},
    {mark: 'maybe'},
  ]);

const filesUnder = (folder: string): string[] =>
  readdirSync(folder, {recursive: true, withFileTypes: true})
    .filter(entry => entry.isFile())
    .map(entry => path.relative(folder, path.join(entry.parentPath, entry.name)))
    .sort();

const fingerprint = (folder: string): Record<string, string> =>
  Object.fromEntries(
    ['attempts', 'plates'].flatMap(part =>
      filesUnder(path.join(folder, part)).map(file => {
        const {mtimeMs, ino, size} = statSync(path.join(folder, part, file));
        return [`${part}/${file}`, `${mtimeMs} ${ino} ${size}`];
      }),
    ),
  );

test('keepers go into a bag with RAW and JPEG together, sidecars, sheets and readings; the shoot stays as it was', async () => {
  const made = await threeAttempts();
  const before = fingerprint(made.folder);
  const {folder, files} = await wrapUp(inputFor(made));
  expect(folder).toBe(path.join(made.folder, 'wrap', 'lantern-keeper-wrap'));
  expect(filesUnder(folder)).toEqual([
    'bag-info.txt',
    'bagit.txt',
    'data/attempts.csv',
    'data/attempts.json',
    'data/contact-sheet.html',
    'data/contact-sheet.jpg',
    'data/look-back.html',
    'data/pictures/lantern-keeper-002.dng',
    'data/pictures/lantern-keeper-002.jpg',
    'data/pictures/lantern-keeper-002.xmp',
    'data/rig.json',
    'data/set-up.html',
    'data/set-up.svg',
    'manifest-sha256.txt',
    'tagmanifest-sha256.txt',
  ]);
  expect(files.map(file => file.path)).toEqual([
    'data/pictures/lantern-keeper-002.jpg',
    'data/pictures/lantern-keeper-002.dng',
  ]);
  expect(readFileSync(path.join(folder, files[1]!.path))).toEqual(
    readFileSync(path.join(made.folder, 'attempts/002/DSC_102.DNG')),
  );
  expect(fingerprint(made.folder)).toEqual(before);
  expect(await verifyBag(folder)).toEqual({files: 14, problems: []});
});

test('the bag follows RFC 8493, and sha256sum finds every file as its manifest says', async context => {
  needs(context, 'sha256sum', 'coreutils');
  const {folder} = await wrapUp(inputFor(await threeAttempts()));
  const text = (name: string): string => readFileSync(path.join(folder, name), 'utf8');
  expect(text('bagit.txt')).toBe('BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n');
  const payload = filesUnder(path.join(folder, 'data'));
  const bytes = payload.reduce((sum, file) => sum + statSync(path.join(folder, 'data', file)).size, 0);
  expect(text('bag-info.txt')).toContain(`\nPayload-Oxum: ${bytes}.${payload.length}\n`);
  expect(text('bag-info.txt')).toContain('\nBagging-Date: 2026-03-15\n');
  for (const [manifest, count] of [
    ['manifest-sha256.txt', payload.length],
    ['tagmanifest-sha256.txt', 3],
  ] as const) {
    const said = execFileSync('sha256sum', ['--strict', '-c', manifest], {cwd: folder, encoding: 'utf8'});
    expect(
      said
        .trim()
        .split('\n')
        .filter(line => line.endsWith(': OK')),
    ).toHaveLength(count);
  }
});

test('maybes go along when asked for, and a pattern names the files', async () => {
  const made = await threeAttempts();
  const plan = await planWrap(inputFor(made, {maybeToo: true, pattern: '{date} {shoot} {mark} {attempt}'}));
  expect(plan.files).toEqual([
    '2026-03-14-lantern-keeper-keep-002.jpg',
    '2026-03-14-lantern-keeper-keep-002.dng',
    '2026-03-14-lantern-keeper-maybe-003.jpg',
  ]);
  expect(existsSync(plan.folder)).toBe(false);
});

test('progress counts up to all, naming each file', async () => {
  const seen: [number, number, string][] = [];
  await wrapUp(inputFor(await threeAttempts(), {progress: (files, of, file) => seen.push([files, of, file])}));
  expect(seen).toEqual([
    [0, 3, 'lantern-keeper-002.jpg'],
    [1, 3, 'lantern-keeper-002.dng'],
    [2, 3, 'sidecars'],
    [2, 3, 'contact sheet, attempt 1'],
    [2, 3, 'contact sheet, attempt 2'],
    [2, 3, 'contact sheet, attempt 3'],
    [3, 3, ''],
  ]);
});

test('a stopped wrap leaves no half file, and wrapping again finishes the same bag', async () => {
  const made = await threeAttempts();
  const stopping = new AbortController();
  const stopped = wrapUp(
    inputFor(made, {
      signal: stopping.signal,
      progress: files => {
        if (files === 1) stopping.abort();
      },
    }),
  );
  await expect(stopped).rejects.toThrow(
    'The wrap was stopped. What was copied stays; wrapping again goes on from there.',
  );
  const folder = path.join(made.folder, 'wrap', 'lantern-keeper-wrap');
  expect(filesUnder(path.join(folder, 'data'))).toEqual(['pictures/lantern-keeper-002.jpg']);
  expect((await verifyBag(folder)).problems).toEqual([
    `${folder} has no manifest-sha256.txt: it was not finished. Wrap again.`,
  ]);
  const first = statSync(path.join(folder, 'data/pictures/lantern-keeper-002.jpg')).ino;
  const again = await wrapUp(inputFor(made));
  expect(again.folder).toBe(folder);
  expect(statSync(path.join(folder, 'data/pictures/lantern-keeper-002.jpg')).ino).toBe(first);
  expect((await verifyBag(folder)).problems).toEqual([]);
});

test('leftovers of a killed wrap are cleared away', async () => {
  const made = await threeAttempts();
  const folder = path.join(made.folder, 'wrap', 'lantern-keeper-wrap');
  mkdirSync(path.join(folder, 'data/pictures'), {recursive: true});
  writeFileSync(path.join(folder, '.wrapping-bag-info.txt'), 'half');
  await expect(wrapUp(inputFor(made))).rejects.toThrow('is there already');
  rmSync(path.join(folder, 'data'), {recursive: true});
  await wrapUp(inputFor(made));
  writeFileSync(path.join(folder, 'data/pictures/.wrapping-lantern-keeper-002.jpg'), 'half');
  await wrapUp(inputFor(made));
  expect((await verifyBag(folder)).problems).toEqual([]);
});

test('wrapping again with other keepers makes a bag of its own and leaves the first as it is', async () => {
  const made = await threeAttempts();
  const first = await wrapUp(inputFor(made));
  const second = await wrapUp(inputFor(made, {maybeToo: true}));
  expect(second.folder).toBe(`${first.folder}-2`);
  expect((await verifyBag(first.folder)).problems).toEqual([]);
  expect(await wrapUp(inputFor(made))).toEqual(first);
});

test('a folder of that name with something else in it is refused and left alone', async () => {
  const made = await threeAttempts();
  const destination = mkdtempSync(path.join(tmpdir(), 'darkset-drive-'));
  const taken = path.join(destination, 'lantern-keeper-wrap');
  mkdirSync(taken);
  writeFileSync(path.join(taken, 'holiday.txt'), 'not yours');
  await expect(wrapUp(inputFor(made, {destination}))).rejects.toThrow(
    `${taken} is there already and is no hand-off of this shoot; move it, or choose another folder.`,
  );
  expect(filesUnder(taken)).toEqual(['holiday.txt']);
});

test('a file of that name with other content is refused and left alone', async () => {
  const made = await threeAttempts();
  const {folder} = await wrapUp(inputFor(made));
  const file = path.join(folder, 'data/pictures/lantern-keeper-002.jpg');
  writeFileSync(file, 'edited by somebody');
  await expect(wrapUp(inputFor(made))).rejects.toThrow('lantern-keeper-002.jpg in');
  // An unfinished hand-off has no manifest to tell by.
  rmSync(path.join(folder, 'manifest-sha256.txt'));
  await expect(wrapUp(inputFor(made))).rejects.toThrow(`${file} is something else already; it is left alone.`);
  expect(readFileSync(file, 'utf8')).toBe('edited by somebody');
});

test('a sidecar that somebody edited in the hand-off is left alone, and so is the whole hand-off', async () => {
  const made = await threeAttempts();
  const {folder} = await wrapUp(inputFor(made));
  const sidecar = path.join(folder, 'data/pictures/lantern-keeper-002.xmp');
  writeFileSync(sidecar, readFileSync(sidecar, 'utf8').replace('<xmp:Rating>5', '<xmp:Rating>4'));
  const manifest = readFileSync(path.join(folder, 'manifest-sha256.txt'));
  await expect(wrapUp(inputFor(made))).rejects.toThrow(
    `data/pictures/lantern-keeper-002.xmp in ${folder} was changed since it was handed off; it is left alone. Move that folder away, or choose another.`,
  );
  expect(readFileSync(sidecar, 'utf8')).toContain('<xmp:Rating>4');
  expect(readFileSync(path.join(folder, 'manifest-sha256.txt'))).toEqual(manifest);
});

test('a stranger among the payload is told, never listed', async () => {
  const made = await threeAttempts();
  const {folder} = await wrapUp(inputFor(made));
  writeFileSync(path.join(folder, 'data/pictures/other.jpg'), 'x');
  await expect(wrapUp(inputFor(made))).rejects.toThrow('data/pictures/other.jpg');
  expect(existsSync(path.join(folder, 'data/pictures/other.jpg'))).toBe(true);
});

test('a keeper that changed since it was pulled is not handed off', async () => {
  const made = await threeAttempts();
  writeFileSync(path.join(made.folder, 'attempts/002/DSC_102.JPG'), 'something else');
  await expect(wrapUp(inputFor(made))).rejects.toThrow(
    'DSC_102.JPG in the shoot is not what was pulled from the camera: its checksum differs.',
  );
  expect(existsSync(path.join(made.folder, 'wrap/lantern-keeper-wrap/data/pictures/lantern-keeper-002.jpg'))).toBe(
    false,
  );
});

test('a keeper that is gone is named', async () => {
  const made = await threeAttempts();
  rmSync(path.join(made.folder, 'attempts'), {recursive: true});
  await expect(wrapUp(inputFor(made))).rejects.toThrow('DSC_102.JPG is missing from the shoot.');
});

test('a folder of the shoot that is a link out of it is not followed', async () => {
  const made = await threeAttempts();
  const elsewhere = mkdtempSync(path.join(tmpdir(), 'darkset-elsewhere-'));
  rmSync(path.join(made.folder, 'attempts/002'), {recursive: true});
  symlinkSync(elsewhere, path.join(made.folder, 'attempts/002'));
  writeFileSync(path.join(elsewhere, 'DSC_102.JPG'), 'secret');
  await expect(wrapUp(inputFor(made))).rejects.toThrow('leads out of the shoot');
});

test.each([
  [
    'nothing is marked',
    {},
    {mark: undefined},
    'No attempt with a frame is marked keep: mark one first, or hand off the maybes too.',
  ],
  [
    'the pattern is strange',
    {pattern: '{shoot}-{iso}'},
    {},
    'The name pattern holds {iso}; it can hold {shoot}, {attempt}, {date}, {mark}.',
  ],
  ['the pattern is empty', {pattern: '../..'}, {}, 'The name pattern gives no name; write it like {shoot}-{attempt}.'],
])('when %s, one sentence says so', async (_what, more, attempt, say) => {
  const made = await makeShoot([{mark: 'keep', ...attempt}]);
  await expect(wrapUp(inputFor(made, more))).rejects.toThrow(say);
});

test("the camera's own folders are never a destination", async () => {
  const made = await threeAttempts();
  const destination = path.join(made.folder, 'attempts', '002');
  await expect(wrapUp(inputFor(made, {destination}))).rejects.toThrow(
    `The shoot's own folder "attempts" stays as it is`,
  );
});

test('a destination that can’t be written is one sentence', async () => {
  const made = await threeAttempts();
  const file = path.join(made.parent, 'a-file');
  writeFileSync(file, '');
  await expect(wrapUp(inputFor(made, {destination: file}))).rejects.toThrow(
    /a-file.*(a file stands where a folder|can't be)/,
  );
  // The system's own file system takes no folder and says that the one above is missing.
  await expect(wrapUp(inputFor(made, {destination: '/proc/nowhere'}))).rejects.toThrow('/proc/nowhere');
});

test('names can’t leave the folder, collide or vanish, whatever the shoot and its files are called', async () => {
  const made = await makeShoot(
    [
      {mark: 'keep', files: ['A.JPG', 'a.dng', 'B.JPG']},
      {mark: 'keep', files: ['A.JPG']},
    ],
    {name: 'Ünder ..  the \u202e Röof; rm -rf'},
  );
  const plan = await planWrap(inputFor(made, {pattern: 'same'}));
  expect(plan.files).toEqual(['same.jpg', 'same.dng', 'same-2.jpg', 'same-3.jpg']);
  expect(path.basename(plan.folder)).toMatch(/^[\p{L}\p{N}.-]+-wrap$/u);
  expect((await verifyBag((await wrapUp(inputFor(made))).folder)).problems).toEqual([]);
});

test('a wrap that is killed outright goes on where it was, and its copies are whole', {timeout: 120_000}, async () => {
  const made = await makeShoot(Array.from({length: 12}, () => ({mark: 'keep' as const, files: ['A.JPG', 'A.DNG']})));
  const folder = path.join(made.folder, 'wrap', 'lantern-keeper-wrap');
  for (const killAt of [3, 11, 24]) {
    const child = spawn(process.execPath, ['--import', 'tsx', 'tests/wrap/wrap-process.ts', made.folder]);
    child.stdout.on('data', (said: Buffer) => {
      if (new RegExp(`^${killAt}/`, 'm').test(said.toString())) child.kill('SIGKILL');
    });
    const [, signal] = await once(child, 'exit');
    expect(signal).toBe('SIGKILL');
    for (const file of filesUnder(path.join(folder, 'data/pictures'))) {
      const attempt = /-(\d{3})\.(jpg|dng)$/.exec(file);
      if (!attempt) continue;
      const source = path.join(made.folder, 'attempts', attempt[1]!, `A.${attempt[2]!.toUpperCase()}`);
      expect(readFileSync(path.join(folder, 'data/pictures', file)).equals(readFileSync(source))).toBe(true);
    }
  }
  expect(await wrapUp(inputFor(made))).toMatchObject({folder});
  expect((await verifyBag(folder)).problems).toEqual([]);
});

test('a disk with too little room is told before anything is copied', async () => {
  const made = await threeAttempts();
  const huge = made.shoot.attempts.map(attempt => ({
    ...attempt,
    files: attempt.files.map(file => ({...file, bytes: 9e15})),
  }));
  await expect(wrapUp(inputFor({...made, shoot: {...made.shoot, attempts: huge}}))).rejects.toThrow(
    /^The wrap needs 18000000\.0 GB and the disk of .* has .* left; free some space or choose another folder\.$/,
  );
});
