import {readdir, readFile, stat} from 'node:fs/promises';
import {join} from 'node:path';
import {describe, expect, it} from 'vitest';
import {plainText} from '../../../shared/plain-text.js';
import {stillBytes} from '../../loopback-camera/still-camera.js';
import {faultOf, needsLibrary, noSignal, plainly, withBench} from './bench.js';

const hostile: [string, string][] = [
  ['a way out of the folder', '../../../tmp/evil'],
  ['a root', '/etc/passwd'],
  ['an escape sequence', '\u001b[2J\u001b]0;mine\u0007red'],
  ['a direction override', 'gpj\u202e.exe'],
  ['a line break', 'one\ntwo\r\nthree'],
  ['accents', 'Überbelichtet'],
];

describe('a frame with a hostile name', () => {
  it.for(hostile)('is shown as plain text and pulled to where the program wants it: %s', async ([, name], context) => {
    needsLibrary(context);
    await withBench({still: {name: () => name}}, async ({camera, folder}) => {
      const before = new Set(await readdir(folder));
      const [frame] = await camera.expose(plainly(1));
      expect(frame!.name).toBe(plainText(`${name}.JPG`));
      const path = join(folder, 'pulled');
      await camera.pull(frame!, path, () => undefined, noSignal());
      expect((await readFile(path)).equals(stillBytes(`${name}.JPG`, 100_000))).toBe(true);
      const made = (await readdir(folder)).filter(entry => !before.has(entry) && entry !== '.gphoto');
      expect(made).toEqual(['pulled']);
    });
  });

  it('that is longer than the library has room for costs that frame at most', async context => {
    needsLibrary(context);
    const long = 'x'.repeat(250);
    await withBench({still: {name: count => (count === 1 ? long : 'SHORT')}}, async ({camera, folder}) => {
      const frames = await camera.expose(plainly(1)).catch(() => []);
      for (const frame of frames) {
        expect(frame.name.length).toBeLessThanOrEqual(210);
        await camera.pull(frame, join(folder, 'long'), () => undefined, noSignal()).catch(() => undefined);
      }
      const [next] = await camera.expose(plainly(1));
      expect(next!.name).toBe('SHORT.JPG');
    });
  });

  it('twice the same once it is plain, stays two frames', async context => {
    needsLibrary(context);
    const names = ['one\u0001', 'one\u0002'];
    await withBench({still: {name: count => names[count - 1]!}}, async ({camera, folder}) => {
      const [first] = await camera.expose(plainly(1));
      const [second] = await camera.expose(plainly(1));
      expect(second!.name).not.toBe(first!.name);
      const path = join(folder, 'second');
      await camera.pull(second!, path, () => undefined, noSignal());
      expect((await readFile(path)).equals(stillBytes('one\u0002.JPG', 100_000))).toBe(true);
    });
  });

  it('never overwrites what is there', async context => {
    needsLibrary(context);
    await withBench({}, async ({camera, folder}) => {
      const [frame] = await camera.expose(plainly(1));
      const path = join(folder, 'frame.jpg');
      await camera.pull(frame!, path, () => undefined, noSignal());
      const fault = await faultOf(camera.pull(frame!, path, () => undefined, noSignal()));
      expect(fault.message).toMatch(/a file of that name is there/);
      expect((await stat(path)).size).toBe(100_000);
    });
  });
});
