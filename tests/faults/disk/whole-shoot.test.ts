import {existsSync} from 'node:fs';
import {mkdir, readdir, readFile, rm, writeFile} from 'node:fs/promises';
import path from 'node:path';
import {setTimeout as pause} from 'node:timers/promises';
import {afterEach, beforeEach, describe, expect, it} from 'vitest';
import {CameraFault} from '../../../shared/camera.js';
import {openShoot, readShoot} from '../../../src/shoot/open-shoot.js';
import type {Intent, SessionState} from '../../../src/shoot/state.js';
import {verifyShoot} from '../../../src/wrap/verify-shoot.js';
import {wrapUp} from '../../../src/wrap/wrap-up.js';
import {needs} from '../../needs.js';
import {type FakeWorld, fakeSession, temporaryFolder} from '../../shoot/fakes.js';
import {fuseIsThere, needsDisks, oddDisk, pluggedDisk, readOnlyOver, smallDisk, unmount} from './disks.js';

const FRAME_BYTES = 1_500_000;
const cleanups: (() => unknown)[] = [];
let parent: string;

beforeEach(async () => {
  const {folder, remove} = await temporaryFolder();
  parent = folder;
  cleanups.push(remove);
});
afterEach(async () => {
  for (const clean of cleanups.splice(0).reverse()) await clean();
});

/** A shoot in this folder in which an attempt may begin at once. */
const readyWorld = async (folder: string, options: Parameters<typeof fakeSession>[0] = {}): Promise<FakeWorld> => {
  const open = await openShoot(path.join(folder, 'window-light'), {program: 'darkset test'});
  await open.append({kind: 'exposure-set', exposure: {shutterSeconds: 8, fNumber: 8, iso: 100}});
  await open.append({kind: 'zones-set', zones: {face: {cx: 0.5, cy: 0.4, rx: 0.09, ry: 0.17}}});
  await open.close();
  return world(folder, options);
};
const world = async (folder: string, options: Parameters<typeof fakeSession>[0] = {}): Promise<FakeWorld> => {
  const made = await fakeSession({
    folder,
    speed: 200,
    ...options,
    camera: {frameBytes: FRAME_BYTES, ...options.camera},
    deps: {wrapUp: async input => wrapUp(input), ...options.deps},
  });
  cleanups.push(() => made.close());
  await made.until(state => state.camera.kind === 'connected' && resting(state));
  return made;
};
const resting = ({activity}: SessionState): boolean => activity.kind === 'resting';

const begin = async ({session, until}: FakeWorld, how: Intent = {kind: 'begin attempt'}): Promise<void> => {
  session.send(how);
  await until(({activity}) => activity.kind === 'preflight');
  session.send({kind: 'go on'});
};
/** Runs one attempt to its end, whatever that is. */
const attempt = async (made: FakeWorld, number: number): Promise<SessionState> => {
  await begin(made);
  return made.until(
    state =>
      resting(state) &&
      ['measured', 'unmeasured', 'stopped'].includes(
        state.shoot.attempts.find(one => one.number === number)?.stage ?? '',
      ),
    `the end of attempt ${number}`,
  );
};
/** Does something to the disk while the shutter is open, before the frame is there to be pulled. */
const whileOpen = ({camera}: FakeWorld, what: () => unknown): void => {
  const {expose} = camera;
  camera.expose = async request => {
    const frames = await expose(request);
    await what();
    camera.expose = expose;
    return frames;
  };
};
const filesIn = async (folder: string): Promise<string[]> =>
  (await readdir(folder, {recursive: true, withFileTypes: true}).catch(() => []))
    .filter(entry => !entry.isDirectory())
    .map(entry => entry.name);
const isSentence = (text: string | undefined): void => {
  expect(text).toMatch(/^[^\n]{10,400}\.$/);
  expect(text).not.toMatch(/E[A-Z]{4,}|undefined|inside darkset/);
};

describe('a full disk', () => {
  it('leaves the frame on the camera, no half file in the shoot, and fetches it when there is room', async context => {
    needsDisks(context);
    const disk = smallDisk(parent, 160);
    cleanups.push(disk.remove);
    const made = await readyWorld(disk.folder);
    await attempt(made, 1);
    whileOpen(made, () => disk.fill(2_000_000));
    const stopped = await attempt(made, 2);
    expect(stopped.shoot.attempts[1]).toMatchObject({stage: 'stopped', files: []});
    expect(stopped.message?.trouble).toBe(true);
    expect(stopped.message?.say).toContain('still on the camera');
    isSentence(stopped.shoot.attempts[1]!.trouble!);
    expect(made.camera.card.size).toBe(2);
    expect(await filesIn(path.join(made.folder, 'attempts', '002'))).toEqual([]);

    disk.makeRoom();
    made.session.send({kind: 'look for lost frames'});
    const {shoot} = await made.until(state => resting(state) && (state.shoot.attempts[1]?.files.length ?? 0) > 0);
    expect(shoot.attempts[1]!.files[0]!.bytes).toBe(FRAME_BYTES);
    expect((await verifyShoot(made.folder)).problems).toEqual([]);
  });

  it('in the middle of a pull whose size nobody told: the same', async context => {
    needsDisks(context);
    const disk = smallDisk(parent, 160);
    cleanups.push(disk.remove);
    const made = await readyWorld(disk.folder, {camera: {frameBytes: 8_000_000}});
    const {expose} = made.camera;
    made.camera.expose = async request => (await expose(request)).map(frame => ({...frame, bytes: null}));
    whileOpen(made, () => disk.fill(4_500_000));
    const {shoot} = await attempt(made, 1);
    expect(shoot.attempts[0]).toMatchObject({stage: 'stopped', files: []});
    expect(shoot.attempts[0]!.trouble).toMatch(/still on the camera/);
    expect(made.camera.card.size).toBe(1);
    expect(await filesIn(path.join(made.folder, 'attempts'))).toEqual([]);
  });

  it('through and through, stops an attempt before it begins with one sentence, and nothing is lost', async context => {
    needsDisks(context);
    const disk = smallDisk(parent, 160);
    cleanups.push(disk.remove);
    const made = await readyWorld(disk.folder);
    await attempt(made, 1);
    made.session.send({kind: 'begin attempt'});
    await made.until(({activity}) => activity.kind === 'preflight');
    await disk.fill(0);
    // What is left of the journal's last page of memory is used up with notes.
    for (let note = 0; note < 4; note++) made.session.send({kind: 'note', attempt: 1, text: 'n'.repeat(1900)});
    const {message} = await made.until(state => state.message?.trouble === true);
    isSentence(message!.say);
    expect(message!.say).toContain('the disk is full');
    made.session.send({kind: 'stop'});
    disk.makeRoom();
    const exposures = made.camera.exposures.length;
    await made.close();
    expect(exposures).toBe(1);
    const {shoot, damagedLines} = await readShoot(made.folder);
    expect(damagedLines).toEqual([]);
    expect(shoot.attempts.map(({stage}) => stage)).toEqual(['measured']);
    expect((await verifyShoot(made.folder)).problems).toEqual([]);
  });
});

describe('a disk that can only be read', () => {
  it('is said when a shoot is to be made or opened there, and can still be listed and verified', async context => {
    needsDisks(context);
    const disk = smallDisk(parent, 160);
    cleanups.push(disk.remove);
    const made = await readyWorld(disk.folder);
    await attempt(made, 1);
    await made.close();
    disk.readOnly(true);
    for (const name of ['window-light', 'new']) {
      const fault = await openShoot(path.join(disk.folder, name), {program: 'darkset test'}).catch(error => error);
      expect(fault.name).toMatch(/ShootFault|LockFault/);
      expect(fault.message).toContain('this disk can only be read: choose a folder on another one');
      isSentence(fault.message);
    }
    expect((await readShoot(made.folder)).shoot.attempts).toHaveLength(1);
    expect((await verifyShoot(made.folder)).problems).toEqual([]);
  });

  it('from one moment to the next, leaves the frame on the camera; it is fetched when the disk can be written again', async context => {
    needsDisks(context);
    const disk = smallDisk(parent, 160);
    cleanups.push(disk.remove);
    const made = await readyWorld(disk.folder);
    await attempt(made, 1);
    const frames = path.join(made.folder, 'attempts');
    whileOpen(made, () => readOnlyOver(frames));
    const {shoot} = await attempt(made, 2);
    unmount(frames);
    expect(shoot.attempts[1]).toMatchObject({stage: 'stopped', files: []});
    isSentence(shoot.attempts[1]!.trouble!);
    expect(shoot.attempts[1]!.trouble).toMatch(/can only be read.*still on the camera\.$/);
    made.session.send({kind: 'look for lost frames'});
    await made.until(state => resting(state) && state.shoot.attempts[1]?.stage === 'measured');
    expect((await verifyShoot(made.folder)).problems).toEqual([]);
  });
});

describe('a disk that is taken away in the middle', () => {
  it('ends the attempt with one sentence and keeps the frame on the camera; back again, everything is there', async context => {
    needsDisks(context);
    const disk = pluggedDisk(parent);
    cleanups.push(disk.unplug);
    const made = await readyWorld(disk.folder);
    await attempt(made, 1);
    whileOpen(made, disk.unplug);
    await begin(made);
    const {message} = await made.until(state => resting(state) && state.message?.trouble === true);
    isSentence(message!.say);
    expect(message!.say).toContain('the folder is gone: put it back or plug its disk in again');
    await made.close();
    expect(await readdir(disk.folder)).toEqual([]);
    expect(made.camera.card.size).toBe(2);

    disk.plug();
    const again = await world(disk.folder, {camera: {card: made.camera.card}});
    const {shoot} = await again.until(state => resting(state) && (state.shoot.attempts[1]?.files.length ?? 0) > 0);
    expect(shoot.attempts.map(({stage}) => stage)).toEqual(['measured', 'measured']);
    expect((await verifyShoot(again.folder)).problems).toEqual([]);
  });

  it('or whose journal is put in its place by another file, is not written into nothing', async () => {
    const folder = path.join(parent, 'window-light');
    const open = await openShoot(folder, {program: 'darkset test'});
    const file = path.join(folder, 'shoot.jsonl');
    const copy = await readFile(file);
    await rm(file);
    await writeFile(file, copy);
    const fault = await open.append({kind: 'noted', attempt: 1, text: 'x'}).catch(error => error);
    expect(fault.name).toBe('JournalFault');
    isSentence(fault.message);
    await open.close();
  });
});

describe('a disk of another kind', () => {
  it.for([[['no-link']], [['no-sync']], [['no-link', 'no-sync', 'no-rename-over']], [['slow']]] as const)(
    '(%s) takes a shoot from its first attempt to its second wrap',
    async ([oddities], context) => {
      needsDisks(context);
      if (!fuseIsThere()) context.skip('needs /dev/fuse');
      needs(context, {python: 'fusepy'}, 'python3-fusepy');
      const disk = await oddDisk(parent, [...oddities]);
      cleanups.push(disk.remove);
      const made = await readyWorld(disk.folder, {camera: {frameBytes: 40_000}});
      await attempt(made, 1);
      const {shoot} = await attempt(made, 2);
      expect(shoot.attempts.map(({stage, trouble}) => trouble ?? stage)).toEqual(['measured', 'measured']);
      for (const count of [1, 2]) {
        made.session.send({kind: 'mark', attempt: count, mark: 'keep'});
        made.session.send({kind: 'plan wrap', folder: null, maybeToo: false});
        await made.until(state => state.wrapPlan !== null);
        made.session.send({kind: 'wrap'});
        const {shoot, message} = await made.until(
          state => resting(state) && (state.shoot.wraps.length >= count || state.message?.trouble === true),
          'a wrap',
        );
        expect(message?.trouble ? message.say : '').toBe('');
        expect(shoot.wraps).toHaveLength(count);
      }
      await made.close();
      expect((await verifyShoot(made.folder)).problems).toEqual([]);
      expect((await filesIn(made.folder)).filter(name => name.startsWith('.'))).toEqual([]);
      const again = await openShoot(made.folder, {program: 'darkset test'});
      expect(again.findings).toEqual([]);
      await again.close();
      expect(existsSync(path.join(made.folder, 'shoot.lock'))).toBe(false);
    },
  );
});

describe('a slow disk', () => {
  it('does not have an attempt, begun while the camera was written down, looked for once more when it ends', async context => {
    needsDisks(context);
    if (!fuseIsThere()) context.skip('needs /dev/fuse');
    needs(context, {python: 'fusepy'}, 'python3-fusepy');
    const disk = await oddDisk(parent, ['slow']);
    cleanups.push(disk.remove);
    const made = await readyWorld(disk.folder, {camera: {frameBytes: 40_000}});
    let pulls = 0;
    const {pull} = made.camera;
    made.camera.pull = async (...given) => {
      pulls += 1;
      if (pulls === 1) throw new CameraFault('broken', 'The camera stumbled over its card.');
      return pull(...given);
    };
    const {shoot} = await attempt(made, 1);
    expect(shoot.attempts[0]!.stage).toBe('stopped');
    await pause(500);
    expect(pulls).toBe(1);
  });
});

describe('a shoot that may not be written by this user', () => {
  it('is said in one sentence', async () => {
    const folder = path.join(parent, 'a-file-stands-here');
    await mkdir(folder);
    const file = path.join(folder, 'x');
    await writeFile(file, '');
    const fault = await openShoot(path.join(file, 'shoot'), {program: 'darkset test'}).catch(error => error);
    expect(fault.name).toBe('ShootFault');
    isSentence(fault.message);
  });
});
