import {execFileSync} from 'node:child_process';
import {mkdir, readFile, symlink, writeFile} from 'node:fs/promises';
import path from 'node:path';
import sharp, {type Sharp} from 'sharp';
import {afterEach, beforeEach, describe, expect, it} from 'vitest';
import {plan} from '../../src/command/plan.js';
import {decodeFrame, decodePicture} from '../../src/frame/decode/decode.js';
import {loadPlates} from '../../src/frame/plates.js';
import {openShoot, readShoot} from '../../src/shoot/open-shoot.js';
import {verifyShoot} from '../../src/wrap/verify-shoot.js';
import {temporaryFolder} from '../shoot/fakes.js';

let folder: string;
let remove: () => Promise<void>;
beforeEach(async () => {
  ({folder, remove} = await temporaryFolder());
});
afterEach(async () => remove());

const pipe = (name: string): string => {
  const file = path.join(folder, name);
  execFileSync('mkfifo', [file]);
  return file;
};
/** The fault, which must be one sentence for a person. */
const faultOf = async (work: Promise<unknown>): Promise<string> => {
  const fault: unknown = await work.then(
    () => null,
    error => error,
  );
  expect(fault).toBeInstanceOf(Error);
  expect((fault as Error).name).toMatch(/Fault$/);
  expect((fault as Error).message).toMatch(/^[^\n]{10,400}\.$/);
  return (fault as Error).message;
};

describe.skipIf(process.platform === 'win32')('a pipe or a device where a file should be is never waited for', () => {
  it('as a frame', async () => {
    expect(await faultOf(decodeFrame(pipe('frame.jpg')))).toBe('frame.jpg is not a file.');
    expect(await faultOf(decodePicture('/dev/zero', 10, 10))).toBe('zero is not a file.');
  });

  it('as a plate, and as zones.json', async () => {
    pipe('dark.jpg');
    expect(await faultOf(loadPlates(folder))).toBe('dark.jpg is not a file.');
    execFileSync('rm', [path.join(folder, 'dark.jpg')]);
    await sharp({create: {width: 8, height: 8, channels: 3, background: '#000'}}).toFile(path.join(folder, 'dark.jpg'));
    pipe('zones.json');
    expect(await faultOf(loadPlates(folder))).toMatch(/^zones\.json beside the plates is not what it should be/);
  });

  it.each(['/dev/zero', 'pipe'])('as a rig file: %s', async name => {
    const rig = name === 'pipe' ? pipe('rig.json') : name;
    const message = await faultOf(plan({shutter: '8', aperture: '8', iso: '100', rig}));
    expect(message).toMatch(/^The rig file .* can't be read; check its name\.$/);
  });

  it('as a journal', async () => {
    pipe('shoot.jsonl');
    expect(await faultOf(readShoot(folder))).toMatch(/it is no plain file: move it away\.$/);
    expect(await faultOf(openShoot(folder, {program: 'darkset test'}))).toMatch(/it is no plain file: move it away\.$/);
  });

  it('as a lock, which is taken over', async () => {
    pipe('shoot.lock');
    const open = await openShoot(folder, {program: 'darkset test'});
    await open.close();
  });

  it('as a manifest, or a file that it names', async () => {
    await writeFile(path.join(folder, 'bagit.txt'), 'BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n');
    pipe('manifest-sha256.txt');
    expect((await verifyShoot(folder)).problems[0]).toMatch(/can't be read/);
    execFileSync('rm', [path.join(folder, 'manifest-sha256.txt')]);
    await mkdir(path.join(folder, 'data'));
    pipe('data/a.jpg');
    await writeFile(path.join(folder, 'manifest-sha256.txt'), `${'ab'.repeat(32)}  data/a.jpg\n`);
    expect((await verifyShoot(folder)).problems).toContain('data/a.jpg is not a file.');
  });
});

describe('a picture that is a bomb', () => {
  const black = (width: number, height: number): Sharp =>
    sharp({create: {width, height, channels: 3, background: '#000'}, limitInputPixels: false});

  it('of more pixels than any camera makes is refused before it is decoded', async () => {
    const file = path.join(folder, 'bomb.png');
    await black(30_000, 9000).png({compressionLevel: 9}).toFile(file);
    expect(await faultOf(decodeFrame(file))).toBe('bomb.png has more than 268 megapixels.');
  });

  it('that says it is larger than anything is refused', async () => {
    const file = path.join(folder, 'absurd.jpg');
    await black(64, 64).jpeg().toFile(file);
    const bytes = await readFile(file);
    const frameHeader = bytes.indexOf(Buffer.from([0xff, 0xc0]));
    bytes.writeUInt16BE(65_500, frameHeader + 5);
    bytes.writeUInt16BE(65_500, frameHeader + 7);
    await writeFile(file, bytes);
    expect(await faultOf(decodeFrame(file))).toBe('absurd.jpg has more than 268 megapixels.');
  });
});

describe('a link out of the shoot', () => {
  it('in the place of its folder of attempts is not followed when it is verified', async () => {
    const shoot = path.join(folder, 'shoot');
    const open = await openShoot(shoot, {program: 'darkset test'});
    const elsewhere = path.join(folder, 'elsewhere', '001');
    await mkdir(elsewhere, {recursive: true});
    await writeFile(path.join(elsewhere, 'a.jpg'), 'x');
    await symlink(path.dirname(elsewhere), path.join(shoot, 'attempts'));
    const file = {
      path: 'attempts/001/a.jpg',
      nameOnCamera: 'a.jpg',
      kind: 'jpeg',
      bytes: 1,
      sha256: 'ab'.repeat(32),
    } as const;
    await open.append({kind: 'stray-pulled', file});
    await open.close();
    expect((await verifyShoot(shoot)).problems).toEqual(['attempts/001/a.jpg is not inside the shoot.']);
  });
});
