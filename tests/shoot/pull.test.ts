import {createHash} from 'node:crypto';
import {mkdir, readdir, readFile, stat, symlink, writeFile} from 'node:fs/promises';
import path from 'node:path';
import {afterEach, beforeEach, describe, expect, it} from 'vitest';
import {CameraFault, type FrameOnCamera} from '../../shared/camera.js';
import {
  PULLING_PREFIX,
  PullFault,
  type PullRequest,
  pullFrame,
  removeLeftovers,
  renameNew,
} from '../../src/shoot/pull.js';
import {type FakeCamera, fakeCamera, jumpingClock, temporaryFolder} from './fakes.js';

let folder: string;
let remove: () => Promise<void>;
let camera: FakeCamera;
beforeEach(async () => {
  ({folder, remove} = await temporaryFolder());
  camera = fakeCamera({clock: jumpingClock()});
});
afterEach(async () => remove());

const pull = (frame: FrameOnCamera, change: Partial<PullRequest> = {}) =>
  pullFrame({
    camera,
    frame,
    shootFolder: folder,
    into: 'attempts/001',
    known: new Set(),
    progress: () => undefined,
    signal: new AbortController().signal,
    ...change,
  });

const inAttempt = (): Promise<string[]> => readdir(path.join(folder, 'attempts/001')).catch(() => []);

describe('pulling a frame', () => {
  it('brings it whole, with its size and SHA-256', async () => {
    const frame = camera.makeByHand('DSC_1.JPG');
    const file = await pull(frame);
    const bytes = await readFile(path.join(folder, file.path));
    expect(file).toEqual({
      path: 'attempts/001/DSC_1.JPG',
      nameOnCamera: 'DSC_1.JPG',
      kind: 'jpeg',
      bytes: 4096,
      sha256: createHash('sha256').update(bytes).digest('hex'),
    });
    expect(await inAttempt()).toEqual(['DSC_1.JPG']);
  });

  it('has no file under a whole name until it is whole', async () => {
    const seen: string[][] = [];
    const frame = camera.makeByHand('DSC_1.JPG');
    await pull(frame, {
      camera: {
        pull: async (...given) => {
          await camera.pull(...given);
          seen.push(await inAttempt());
        },
      },
    });
    expect(seen).toEqual([[`${PULLING_PREFIX}DSC_1.JPG`]]);
  });

  it('tells its progress', async () => {
    const told: [number, number][] = [];
    await pull(camera.makeByHand(), {progress: (bytes, total) => void told.push([bytes, total])});
    expect(told).toEqual([
      [2048, 4096],
      [4096, 4096],
    ]);
  });

  it('never replaces a file: another frame of the same name, also in other case, gets the next name', async () => {
    const first = await pull(camera.makeByHand('DSC_1.JPG'));
    const known = new Set([first.path]);
    const second = await pull(camera.makeByHand('dsc_1.jpg'), {known});
    expect(second.path).toBe('attempts/001/dsc_1-2.jpg');
    expect((await inAttempt()).sort()).toEqual(['DSC_1.JPG', 'dsc_1-2.jpg']);
  });

  it('takes a whole file without an entry for its own when it is the same, as after a kill before the entry', async () => {
    const frame = camera.makeByHand('DSC_1.JPG');
    await pull(frame);
    expect((await pull(frame)).path).toBe('attempts/001/DSC_1.JPG');
    await writeFile(path.join(folder, 'attempts/001/DSC_1.JPG'), 'something else');
    expect((await pull(frame)).path).toBe('attempts/001/DSC_1-2.JPG');
  });

  it.each([
    '../../../escaped.jpg',
    '/etc/escaped.jpg',
    '..',
    'a\0b\n\u001b[2J.jpg',
    `${'n'.repeat(4096)}.jpg`,
    'CON',
    '-rf',
  ])('keeps a camera file named %j inside the shoot', async name => {
    const file = await pull(camera.makeByHand(name));
    expect(path.dirname(file.path)).toBe('attempts/001');
    expect((await stat(path.join(folder, file.path))).size).toBe(4096);
    expect(`${file.path}${file.nameOnCamera}`).not.toMatch(/[\u0000-\u001f]/);
    expect(await readdir(folder)).toEqual(['attempts']);
  });

  it('leaves nothing behind when it is cut off, when it fails, and when too little came', async () => {
    const stop = new AbortController();
    await expect(
      pull(camera.makeByHand('A.JPG'), {signal: stop.signal, progress: () => stop.abort(new Error('stop'))}),
    ).rejects.toThrow();
    camera.failNext('pull', new CameraFault('gone', 'The camera is gone.'));
    await expect(pull(camera.makeByHand('B.JPG'))).rejects.toThrow('The camera is gone.');
    const short = {...camera.makeByHand('C.JPG'), bytes: 5000};
    await expect(pull(short)).rejects.toThrow('C.JPG came through with 4096 of 5000 bytes; it is still on the camera.');
    expect(await inAttempt()).toEqual([]);
  });

  it('refuses a frame that the disk has no room for, before it begins', async () => {
    const huge = {...camera.makeByHand('HUGE.JPG'), bytes: 1e18};
    const fault = await pull(huge).catch(error => error);
    expect(fault).toBeInstanceOf(PullFault);
    expect(fault.message).toMatch(
      /^HUGE\.JPG needs 1000000000\.0 GB and the disk has .* left; free some space, it is still on the camera\.$/,
    );
  });

  it('does not follow a link out of the shoot', async () => {
    const outside = await temporaryFolder();
    await symlink(outside.folder, path.join(folder, 'attempts'));
    await expect(pull(camera.makeByHand())).rejects.toThrow(/leads out of the shoot/);
    expect(await readdir(outside.folder)).toEqual([]);
    await outside.remove();
  });
});

describe('renaming', () => {
  it('does not touch a file that is there', async () => {
    await writeFile(path.join(folder, 'new'), 'new');
    await writeFile(path.join(folder, 'old'), 'old');
    expect(await renameNew(path.join(folder, 'new'), path.join(folder, 'old'))).toBe(false);
    expect(await readFile(path.join(folder, 'old'), 'utf8')).toBe('old');
    expect(await renameNew(path.join(folder, 'new'), path.join(folder, 'other'))).toBe(true);
    expect((await readdir(folder)).sort()).toEqual(['old', 'other']);
  });
});

describe('what a killed program left', () => {
  it('is removed where it is half written, and nothing else is', async () => {
    for (const name of ['attempts/001', 'attempts/002', 'plates/incoming']) {
      await mkdir(path.join(folder, name), {recursive: true});
      await writeFile(path.join(folder, name, `${PULLING_PREFIX}A.JPG`), 'half');
      await writeFile(path.join(folder, name, 'A.JPG'), 'whole');
    }
    await removeLeftovers(folder);
    for (const name of ['attempts/001', 'attempts/002', 'plates/incoming'])
      expect(await readdir(path.join(folder, name))).toEqual(['A.JPG']);
  });
});
