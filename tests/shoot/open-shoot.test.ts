import {appendFile, mkdir, readFile, writeFile} from 'node:fs/promises';
import path from 'node:path';
import {afterEach, beforeEach, describe, expect, it} from 'vitest';
import {openShoot, readShoot} from '../../src/shoot/open-shoot.js';
import {ShootFault} from '../../src/shoot/shoot-fault.js';
import {shortEvening} from './entries.js';
import {temporaryFolder} from './fakes.js';

const program = 'darkset test';
let folder: string;
let remove: () => Promise<void>;
beforeEach(async () => {
  ({folder, remove} = await temporaryFolder());
});
afterEach(async () => remove());

describe('opening a shoot', () => {
  it('makes the folder and its journal, named after the folder', async () => {
    const open = await openShoot(path.join(folder, 'evenings', 'window-light'), {program});
    expect(open).toMatchObject({created: true, findings: []});
    expect(open.shoot().name).toBe('window-light');
    await open.close();
    const again = await openShoot(open.folder, {program});
    expect(again.created).toBe(false);
    expect(again.shoot().begunAt).toBe(open.shoot().begunAt);
    await again.close();
  });

  it('has everything that was appended, at once and after opening it again', async () => {
    const open = await openShoot(folder, {program});
    for (const event of shortEvening().slice(1)) await open.append(event);
    const before = open.shoot();
    await open.close();
    const again = await openShoot(folder, {program});
    expect(again.shoot()).toEqual({
      ...before,
      attempts: before.attempts.map(attempt => ({...attempt, at: expect.any(String)})),
    });
    await again.close();
  });

  it('is refused in one sentence when a file has its name', async () => {
    await writeFile(path.join(folder, 'taken'), 'x');
    await expect(openShoot(path.join(folder, 'taken'), {program})).rejects.toThrow(
      /taken is a file; name a folder for the shoot\.$/,
    );
    await expect(openShoot(path.join(folder, 'taken', 'deeper'), {program})).rejects.toThrow(
      /can't be used: a file stands where a folder is needed/,
    );
  });

  it('is refused in one sentence when it is open already', async () => {
    const open = await openShoot(folder, {program});
    await expect(openShoot(folder, {program})).rejects.toThrow(/^This shoot is already open: process \d+ on /);
    await expect(openShoot(folder, {program})).rejects.toThrow(ShootFault);
    await open.close();
  });

  it('is refused, and nothing touched, when a newer version made it', async () => {
    const line = '{"v":2,"at":"2031-01-01T00:00:00Z","kind":"shoot-begun","name":{"en":"x"}}\ntorn';
    await writeFile(path.join(folder, 'shoot.jsonl'), line);
    await expect(openShoot(folder, {program})).rejects.toThrow(
      /was made by a newer version of this program \(form 2, this one knows 1\)/,
    );
    await expect(readShoot(folder)).rejects.toThrow(ShootFault);
    expect(await readFile(path.join(folder, 'shoot.jsonl'), 'utf8')).toBe(line);
  });

  it('is refused when the name can be no folder', async () => {
    await expect(openShoot('a\0b', {program})).rejects.toThrow(
      'The folder name holds a character that no folder can have.',
    );
    await expect(openShoot(path.join(folder, 'n'.repeat(300)), {program})).rejects.toThrow(/the path is too long/);
  });

  it('lets go of the folder when the journal cannot be opened', async () => {
    await mkdir(path.join(folder, 'shoot.jsonl'));
    await expect(openShoot(folder, {program})).rejects.toThrow(/a folder stands where a file is needed/);
    await expect(openShoot(folder, {program})).rejects.toThrow(/a folder stands where a file is needed/);
  });
});

describe('reading a shoot without opening it', () => {
  it('works while another program has it open, and changes nothing', async () => {
    const open = await openShoot(folder, {program});
    for (const event of shortEvening().slice(1)) await open.append(event);
    await appendFile(path.join(folder, 'shoot.jsonl'), '{"torn');
    const before = await readFile(path.join(folder, 'shoot.jsonl'));
    const read = await readShoot(folder);
    expect(read.shoot.attempts).toHaveLength(3);
    expect(await readFile(path.join(folder, 'shoot.jsonl'))).toEqual(before);
    await open.close();
  });

  it('says where there is no shoot', async () => {
    await expect(readShoot(path.join(folder, 'nowhere'))).rejects.toThrow(
      /^There is no shoot in .*nowhere; open it once with "darkset nowhere"\.$/,
    );
    await writeFile(path.join(folder, 'file'), 'x');
    await expect(readShoot(path.join(folder, 'file'))).rejects.toThrow(ShootFault);
  });
});
