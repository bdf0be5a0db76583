import {readdir, readFile, rm} from 'node:fs/promises';
import path from 'node:path';
import {afterEach, describe, expect, it} from 'vitest';
import type {JournalEntry} from '../../shared/journal.js';
import {JournalFault, openJournal} from '../../src/shoot/journal.js';
import {openShoot, readShoot} from '../../src/shoot/open-shoot.js';
import {PullFault, pullFrame} from '../../src/shoot/pull.js';
import {ShootFault} from '../../src/shoot/shoot-fault.js';
import {shortEvening} from '../shoot/entries.js';
import {type FakeWorld, fakeCamera, fakeSession, jumpingClock} from '../shoot/fakes.js';
import {type SmallDisk, smallDisk} from './small-disk.js';

const program = 'darkset test';
const now = (): Date => new Date('2026-11-25T20:00:00Z');
let disk: SmallDisk | null = null;
let world: FakeWorld | null = null;
afterEach(async () => {
  await world?.session.close();
  disk?.remove();
  disk = null;
  world = null;
});

const linesOf = async (file: string): Promise<JournalEntry[]> =>
  (await readFile(file, 'utf8'))
    .trimEnd()
    .split('\n')
    .map(line => JSON.parse(line) as JournalEntry);

describe('a full disk', () => {
  it('makes the journal say so, keeps what was there whole, and is forgotten when there is space again', async context => {
    disk = smallDisk(context, 1 << 20);
    const file = path.join(disk.folder, 'shoot.jsonl');
    const journal = await openJournal(file, () => undefined, now);
    for (const event of shortEvening(1)) await journal.append(event);
    await disk.fill();
    // What is left of the last block still takes an entry or two.
    const long = 'n'.repeat(1900);
    let fault: unknown = null;
    let written = 0;
    while (!fault) {
      fault = await journal.append({kind: 'noted', attempt: 1, text: long}).then(
        () => null,
        error => error,
      );
      if (!fault) written += 1;
    }
    expect(fault).toBeInstanceOf(JournalFault);
    expect((fault as Error).message).toMatch(
      /can't be written, so nothing new is remembered: the disk is full: free some space\.$/,
    );
    expect(await linesOf(file)).toHaveLength(shortEvening(1).length + written);

    await disk.free();
    await journal.append({kind: 'noted', attempt: 1, text: 'again'});
    await journal.close();
    expect(await linesOf(file)).toHaveLength(shortEvening(1).length + written + 1);
  });

  it('leaves a frame that does not fit on the camera, and nothing of it in the shoot', async context => {
    disk = smallDisk(context, 8 << 20);
    const camera = fakeCamera({clock: jumpingClock(), frameBytes: 2 << 20, pullPieces: 8});
    const frame = camera.makeByHand('DSC_1.JPG');
    const fault = await pullFrame({
      camera: {
        pull: async (of, to, progress, signal) => {
          await disk!.fill();
          await camera.pull(of, to, progress, signal);
        },
      },
      frame,
      shootFolder: disk.folder,
      into: 'attempts/001',
      known: new Set(),
      progress: () => undefined,
      signal: new AbortController().signal,
    }).catch(error => error);
    expect(fault).toBeInstanceOf(PullFault);
    expect(fault.message).toBe('The disk is full: free some space; DSC_1.JPG is still on the camera.');
    expect(await readdir(path.join(disk.folder, 'attempts/001'))).toEqual([]);
  });

  it('is seen in the preflight before an attempt begins', async context => {
    disk = smallDisk(context, 30 << 20);
    world = await fakeSession({folder: disk.folder, speed: 400});
    const {session, until} = world;
    await until(state => state.camera.kind === 'connected');
    session.send({kind: 'begin attempt'});
    const {activity} = await until(state => state.activity.kind === 'preflight');
    expect(activity.kind === 'preflight' && activity.items.find(({id}) => id === 'disk')).toMatchObject({
      state: 'fail',
      fix: 'Free some space first.',
    });
    expect(activity).toMatchObject({ready: false});
  });

  it('that fills in the middle of an evening stops it with one sentence; every attempt before is whole', async context => {
    disk = smallDisk(context, 150 << 20);
    world = await fakeSession({folder: disk.folder, speed: 400});
    const {session, until} = world;
    await until(state => state.camera.kind === 'connected');
    session.send({kind: 'begin series', count: 5, pauseSeconds: 400, untilPassed: false});
    await until(state => state.activity.kind === 'preflight');
    session.send({kind: 'go on'});
    await until(state => state.activity.kind === 'between');
    await disk.fill();
    session.send({kind: 'go on'});
    const {message} = await until(state => state.activity.kind === 'resting' && state.message?.trouble === true);
    expect(message!.say).toMatch(/disk/);
    await disk.free();
    const {shoot, damagedLines} = await readShoot(path.join(disk.folder, 'window-light'));
    expect(damagedLines).toEqual([]);
    expect(shoot.attempts[0]).toMatchObject({stage: 'measured', files: [{bytes: 4096}]});
  });
});

describe('a disk that can only be read', () => {
  it('is refused in one sentence', async context => {
    disk = smallDisk(context, 1 << 20);
    disk.readOnly();
    await expect(openShoot(path.join(disk.folder, 'new'), {program})).rejects.toThrow(
      /can't be used: this disk can only be read: choose a folder on another one\.$/,
    );
    await expect(openShoot(disk.folder, {program})).rejects.toThrow(ShootFault);
    await expect(openShoot(disk.folder, {program})).rejects.toThrow(/can't be locked: this disk can only be read/);
  });

  it('can still be looked at', async context => {
    disk = smallDisk(context, 4 << 20);
    const open = await openShoot(disk.folder, {program});
    for (const event of shortEvening(2).slice(1)) await open.append(event);
    await open.close();
    disk.readOnly();
    expect((await readShoot(disk.folder)).shoot.attempts).toHaveLength(2);
  });
});

describe('a folder that is taken away in the middle', () => {
  it('ends a series with one sentence and opens no shutter any more', async () => {
    world = await fakeSession({speed: 400});
    const {session, until, camera, folder} = world;
    await until(state => state.camera.kind === 'connected');
    session.send({kind: 'begin series', count: 9, pauseSeconds: 40, untilPassed: false});
    await until(state => state.activity.kind === 'preflight');
    session.send({kind: 'go on'});
    await until(state => state.activity.kind === 'between');
    await rm(folder, {recursive: true});
    const exposures = camera.exposures.length;
    const {message} = await until(state => state.activity.kind === 'resting' && state.message?.trouble === true);
    expect(message!.say).toMatch(/the folder is gone/);
    expect(camera.exposures).toHaveLength(exposures);
  });
});
