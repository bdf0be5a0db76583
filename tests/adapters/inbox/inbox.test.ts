import {execFileSync} from 'node:child_process';
import {createHash} from 'node:crypto';
import {
  appendFile,
  mkdir,
  mkdtemp,
  readdir,
  readFile,
  rename,
  rm,
  stat,
  symlink,
  truncate,
  utimes,
  writeFile,
} from 'node:fs/promises';
import {tmpdir} from 'node:os';
import {join} from 'node:path';
import {setTimeout as pause} from 'node:timers/promises';
import {afterEach, beforeEach, describe, expect, it} from 'vitest';
import {openInbox} from '../../../adapters/inbox/inbox.js';
import {spedClock} from '../../../adapters/studio/clock.js';
import type {Camera, CameraFault, FrameOnCamera} from '../../../shared/camera.js';
import {needs} from '../../needs.js';
import {photograph, rawLike} from './photographs.js';

const never = new AbortController().signal;
const ignore = (): void => undefined;
const given = {shutterSeconds: 8, fNumber: 8, iso: 100};

let root: string;
let folder: string;
let camera: Camera | null = null;

beforeEach(async () => {
  root = await mkdtemp(join(tmpdir(), 'darkset-inbox-test-'));
  folder = join(root, 'drop');
  await mkdir(folder);
});
afterEach(async () => {
  await camera?.close();
  camera = null;
  await rm(root, {recursive: true, force: true});
});

const connect = async (): Promise<Camera> => {
  camera = await openInbox({folder, clock: spedClock(20), settleMs: 120, siblingMs: 250});
  return camera;
};

/** Waits for a frame while `work` goes on in the folder; what came, and when the shutter was said to close. */
const awaitFrames = async (work: () => Promise<unknown>, signal = never): Promise<FrameOnCamera[]> => {
  const frames = camera!.expose({seconds: 1, signal, onOpen: ignore, onClose: ignore});
  frames.catch(ignore);
  await pause(20);
  await work();
  return frames;
};

const names = (frames: FrameOnCamera[]): string[] => frames.map(frame => frame.name);
const hash = (bytes: Buffer): string => createHash('sha256').update(bytes).digest('hex');

/** Frames that come of `work`, or nothing within this time. */
const framesWithin = async (ms: number, work: () => Promise<unknown>): Promise<string[]> => {
  const stopping = new AbortController();
  setTimeout(() => stopping.abort(), ms);
  return names(await awaitFrames(work, stopping.signal));
};

const faultOf = (work: Promise<unknown>): Promise<CameraFault> =>
  work.then(
    () => {
      throw new Error('no fault');
    },
    error => error,
  );

describe('A watched folder with real photographs', () => {
  beforeEach(async context => {
    needs(context, 'exiftool', 'libimage-exiftool-perl');
    needs(context, {python: 'skimage'}, 'python3-skimage');
    await connect();
  });

  it('takes the photograph that arrives as the attempt’s frame and pulls it unchanged', async () => {
    const bytes = await photograph(root, 'portrait', given);
    const frames = await awaitFrames(() => writeFile(join(folder, 'P0001.JPG'), bytes));
    expect(frames).toEqual([{folder: expect.any(String), name: 'P0001.JPG', kind: 'jpeg', bytes: bytes.length}]);
    await camera!.pull(frames[0]!, join(root, 'pulled.jpg'), ignore, never);
    expect(hash(await readFile(join(root, 'pulled.jpg')))).toBe(hash(bytes));
    expect(hash(await readFile(join(folder, 'P0001.JPG')))).toBe(hash(bytes));
  });

  it('knows no exposure before the first frame, and afterwards what its Exif says', async () => {
    expect((await camera!.status()).exposure).toBeNull();
    const bytes = await photograph(root, 'portrait', {shutterSeconds: 8, fNumber: 10, iso: 50});
    await awaitFrames(() => writeFile(join(folder, 'P0001.JPG'), bytes));
    expect(await camera!.status()).toMatchObject({
      exposure: {shutterSeconds: 8, fNumber: 10, iso: 50},
      format: 'jpeg',
    });
  });

  it('keeps what it knew when a frame carries no Exif', async () => {
    const withExif = await photograph(root, 'portrait', given);
    const bare = await photograph(root, 'cat', null);
    await awaitFrames(() => writeFile(join(folder, 'P0001.JPG'), withExif));
    await awaitFrames(() => writeFile(join(folder, 'P0002.JPG'), bare));
    expect((await camera!.status()).exposure).toEqual(given);
  });

  it('waits for a slow writer until the end marker is there, however long it pauses', async () => {
    const bytes = await photograph(root, 'portrait', given);
    const path = join(folder, 'P0001.JPG');
    let written = 0;
    const frames = await awaitFrames(async () => {
      await writeFile(path, '');
      for (const part of [0.3, 0.6, 1]) {
        await pause(400);
        const upTo = Math.round(bytes.length * part);
        await appendFile(path, bytes.subarray(written, upTo));
        written = upTo;
      }
    });
    expect(written).toBe(bytes.length);
    expect(frames[0]!.bytes).toBe(bytes.length);
  });

  it('never takes a truncated JPEG, not even one that was cut behind its thumbnail', async () => {
    const bytes = await photograph(root, 'portrait', given);
    const withThumbnail = join(root, 'thumb.jpg');
    await writeFile(withThumbnail, bytes);
    const small = join(root, 'small.jpg');
    execFileSync('/usr/bin/python3', [
      '-c',
      'import sys; from PIL import Image; Image.open(sys.argv[1]).resize((120, 120)).save(sys.argv[2])',
      withThumbnail,
      small,
    ]);
    execFileSync('exiftool', ['-q', '-overwrite_original', `-ThumbnailImage<=${small}`, withThumbnail]);
    const whole = await readFile(withThumbnail);
    expect(whole.length).toBeGreaterThan(bytes.length + 1000);
    const taken = await framesWithin(1500, async () => {
      await writeFile(join(folder, 'HALF.JPG'), whole.subarray(0, Math.round(whole.length / 2)));
      await writeFile(join(folder, 'TAIL.JPG'), whole.subarray(0, whole.length - 1));
    });
    expect(taken).toEqual([]);
    const notes = (await camera!.status()).notes.join(' ');
    expect(notes).toContain('HALF.JPG is arriving');
    expect(await camera!.strays(0)).toEqual([]);
  });

  it('holds RAW and JPEG of one shot together, whichever comes first', async () => {
    const jpeg = await photograph(root, 'portrait', given);
    const raw = await rawLike('portrait');
    const first = await awaitFrames(async () => {
      await writeFile(join(folder, 'P0001.dng'), raw);
      await pause(180);
      await writeFile(join(folder, 'P0001.JPG'), jpeg);
    });
    expect(first.map(({name, kind}) => [name, kind])).toEqual([
      ['P0001.JPG', 'jpeg'],
      ['P0001.dng', 'raw'],
    ]);
    expect((await camera!.status()).format).toBe('raw+jpeg');
    const second = await awaitFrames(async () => {
      await writeFile(join(folder, 'p0002.jpg'), jpeg);
      await pause(180);
      await writeFile(join(folder, 'P0002.DNG'), raw);
    });
    expect(names(second)).toEqual(['P0002.DNG', 'p0002.jpg']);
  });

  it('waits until the sibling is whole too, once it has begun to arrive', async () => {
    const jpeg = await photograph(root, 'portrait', given);
    const raw = await rawLike('portrait');
    const frames = await awaitFrames(async () => {
      await writeFile(join(folder, 'P0001.JPG'), jpeg);
      const path = join(folder, 'P0001.DNG');
      await writeFile(path, raw.subarray(0, 1000));
      for (let at = 1000; at < raw.length; at += 200_000) {
        await pause(60);
        await appendFile(path, raw.subarray(at, at + 200_000));
      }
    });
    expect(frames.find(frame => frame.kind === 'raw')?.bytes).toBe(raw.length);
  });

  it('takes a RAW alone when no JPEG comes within the wait', async () => {
    const raw = await rawLike('cat');
    expect(names(await awaitFrames(() => writeFile(join(folder, 'P0001.DNG'), raw)))).toEqual(['P0001.DNG']);
    expect((await camera!.status()).format).toBe('raw');
  });
});

describe('A watched folder', () => {
  /** The smallest thing that passes for a whole JPEG: start, a scan of no length, end. */
  const tiny = Buffer.from('ffd8ffda0002ffd9', 'hex');

  it('says that the exposure is started by hand, and what it cannot do', async () => {
    await connect();
    const status = await camera!.status();
    expect(status.notes[0]).toMatch(/started by hand on the camera/);
    expect(status.can).toEqual({setExposure: false, openShutter: false, focusDrive: false, probe: false});
  });

  it('closes after the asked seconds of its clock, and only then goes on waiting for the file', async () => {
    await connect();
    const heard: string[] = [];
    const frames = camera!.expose({
      seconds: 2,
      signal: never,
      onOpen: () => heard.push('open'),
      onClose: () => heard.push('closed'),
    });
    expect(heard).toEqual(['open']);
    await expect.poll(() => heard).toEqual(['open', 'closed']);
    await writeFile(join(folder, 'late.jpg'), tiny);
    heard.push('written');
    expect(names(await frames)).toEqual(['late.jpg']);
    expect(heard).toEqual(['open', 'closed', 'written']);
  });

  it('ignores what lay there before, hidden and half-written names, and foreign files', async () => {
    await writeFile(join(folder, 'old.jpg'), tiny);
    await connect();
    const taken = await framesWithin(900, async () => {
      for (const name of [
        '.hidden.jpg',
        '~lock.jpg',
        'a.jpg.part',
        'b.tmp',
        'notes.txt',
        'clip.mov',
        'c.jpg.crdownload',
      ]) {
        await writeFile(join(folder, name), tiny);
      }
      await mkdir(join(folder, 'folder.jpg'));
    });
    expect(taken).toEqual([]);
  });

  it('takes a file that is renamed into place after it was written under another name', async () => {
    await connect();
    const frames = await awaitFrames(async () => {
      await writeFile(join(folder, 'x.jpg.part'), tiny);
      await pause(200);
      await rename(join(folder, 'x.jpg.part'), join(folder, 'x.jpg'));
    });
    expect(names(frames)).toEqual(['x.jpg']);
  });

  it('takes an old name again when the camera writes it anew', async () => {
    const path = join(folder, 'P0001.JPG');
    await writeFile(path, tiny);
    await utimes(path, 1000, 1000);
    await connect();
    const frames = await awaitFrames(() =>
      writeFile(path, Buffer.concat([tiny.subarray(0, 6), Buffer.alloc(9), tiny.subarray(6)])),
    );
    expect(names(frames)).toEqual(['P0001.JPG']);
  });

  it('never takes an empty file', async () => {
    await connect();
    expect(await framesWithin(900, () => writeFile(join(folder, 'empty.dng'), ''))).toEqual([]);
    expect(names(await awaitFrames(() => writeFile(join(folder, 'empty.dng'), 'raw data')))).toEqual(['empty.dng']);
  });

  it('does not take a file for this attempt that began to arrive before it', async () => {
    await connect();
    await writeFile(join(folder, 'before.jpg'), tiny.subarray(0, 6));
    await expect.poll(async () => (await camera!.status()).notes.join(' ')).toContain('before.jpg');
    const taken = await framesWithin(1200, () => writeFile(join(folder, 'before.jpg'), tiny));
    expect(taken).toEqual([]);
    expect(names(await camera!.strays(0))).toEqual(['before.jpg']);
  });

  it('does not take one that began before it and is sent again from its beginning', async () => {
    await connect();
    const path = join(folder, 'before.jpg');
    await writeFile(path, tiny.subarray(0, 6));
    await expect.poll(async () => (await camera!.status()).notes.join(' ')).toContain('before.jpg');
    const taken = await framesWithin(1500, async () => {
      await truncate(path);
      await pause(300);
      await writeFile(path, tiny);
    });
    expect(taken).toEqual([]);
    expect(names(await camera!.strays(0))).toEqual(['before.jpg']);
  });

  it('gives one shot at a time; the other is a stray', async () => {
    await connect();
    const frames = await awaitFrames(async () => {
      await writeFile(join(folder, 'one.jpg'), tiny);
      await pause(30);
      await writeFile(join(folder, 'two.jpg'), tiny);
    });
    expect(frames).toHaveLength(1);
    const strays = names(await camera!.strays(0));
    expect([...names(frames), ...strays].sort()).toEqual(['one.jpg', 'two.jpg']);
  });

  it('refuses links, wherever they lead, and pipes', async () => {
    await connect();
    await writeFile(join(root, 'secret.jpg'), tiny);
    const taken = await framesWithin(1000, async () => {
      await symlink(join(root, 'secret.jpg'), join(folder, 'link.jpg'));
      await symlink('../../../etc/hostname', join(folder, 'up.dng'));
      execFileSync('mkfifo', [join(folder, 'pipe.jpg')]);
    });
    expect(taken).toEqual([]);
    const real = (await camera!.strays(0)).length;
    expect(real).toBe(0);
    const {folder: place} = await frameFrom('real.jpg');
    for (const name of ['link.jpg', 'up.dng', 'pipe.jpg', '../secret.jpg', 'a/../../secret.jpg', '..']) {
      const fault = await faultOf(
        camera!.pull({folder: place, name, kind: 'jpeg', bytes: null}, join(root, 'out'), ignore, never),
      );
      expect(fault.reason).toBe('lost');
    }
    expect(await readdir(root)).not.toContain('out');
  });

  const frameFrom = async (name: string): Promise<FrameOnCamera> =>
    (await awaitFrames(() => writeFile(join(folder, name), tiny)))[0]!;

  it('hands over hostile names as they are, but never says them raw', async () => {
    await connect();
    const name = 'evil\u001b[2J\u202e\n.jpg';
    const stopping = new AbortController();
    setTimeout(() => stopping.abort(), 700);
    await awaitFrames(() => writeFile(join(folder, name), tiny.subarray(0, 6)), stopping.signal);
    const frame = await frameFrom(name.replace('evil', 'worse'));
    expect(frame.name).toBe(name.replace('evil', 'worse'));
    await rm(join(folder, frame.name));
    const fault = await faultOf(camera!.pull(frame, join(root, 'out'), ignore, never));
    for (const text of [fault.message, ...(await camera!.status()).notes]) {
      expect(text).not.toMatch(/[\u0000-\u001f\u202e]/);
    }
    expect(fault.message).toContain('worse');
  });

  it('is gone, mid-wait too, when the folder is removed, and names the folder', async () => {
    await connect();
    const fault = await faultOf(awaitFrames(() => rm(folder, {recursive: true})));
    expect(fault.reason).toBe('gone');
    expect(fault.message).toContain(folder);
  });

  it('says at once when there is no such folder, or when it is a file', async () => {
    const clock = spedClock(1);
    expect((await faultOf(openInbox({folder: join(root, 'no'), clock}))).reason).toBe('gone');
    await writeFile(join(root, 'file'), 'x');
    const fault = await faultOf(openInbox({folder: join(root, 'file'), clock}));
    expect(fault.message).toContain('is not a folder');
  });

  it('notices when a frame shrinks while it is pulled', async () => {
    await connect();
    const big = Buffer.concat([tiny.subarray(0, 6), Buffer.alloc(3_000_000), tiny.subarray(6)]);
    const [frame] = await awaitFrames(() => writeFile(join(folder, 'big.jpg'), big));
    let cut: Promise<void> | null = null;
    const fault = await faultOf(
      camera!.pull(
        frame!,
        join(root, 'out.jpg'),
        bytes => {
          if (bytes > 0) cut ??= truncate(join(folder, 'big.jpg'), 400_000);
        },
        never,
      ),
    );
    await cut;
    expect(fault.reason).toBe('lost');
    expect(await stat(join(root, 'out.jpg')).catch(() => null)).toBeNull();
  });

  it('counts as strays by when a file came to lie there, not by the camera’s own time', async () => {
    await connect();
    const before = Date.now() - 500;
    await writeFile(join(folder, 'stray.jpg'), tiny);
    await utimes(join(folder, 'stray.jpg'), 1_000_000, 1_000_000);
    expect(names(await camera!.strays(before))).toEqual(['stray.jpg']);
    expect(await camera!.strays(Date.now() + 5000)).toEqual([]);
  });

  it('is not slowed by a folder of thousands of old frames', async () => {
    await Promise.all(Array.from({length: 3000}, (_, i) => writeFile(join(folder, `old${i}.jpg`), tiny)));
    await connect();
    expect(names(await awaitFrames(() => writeFile(join(folder, 'new.jpg'), tiny)))).toEqual(['new.jpg']);
  });
});
