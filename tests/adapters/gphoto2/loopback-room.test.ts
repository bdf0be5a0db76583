import {readFile} from 'node:fs/promises';
import {join} from 'node:path';
import {fileURLToPath} from 'node:url';
import {execaNode} from 'execa';
import sharp from 'sharp';
import {describe, expect, it} from 'vitest';
import {openGphoto2} from '../../../adapters/gphoto2/open.js';
import {readArrangement} from '../../loopback-camera/arrangement.js';
import {createRoomRule, scenes} from '../../loopback-camera/room-rule.js';
import {needsLibrary, noSignal, ownEnvironment, plainly, until} from './bench.js';

const root = fileURLToPath(new URL('../../..', import.meta.url));

describe('the room’s rule', () => {
  it('gives the plates in their order, and attempts from then on; probes don’t count', () => {
    const rule = createRoomRule();
    expect([8, 0.25, 8, 8, 8, 8, 0.25, 8].map(seconds => rule.next(seconds).word)).toEqual([
      'dark',
      'dark',
      'a',
      'b',
      'sitter',
      'paint',
      'dark',
      'paint',
    ]);
  });

  it('follows a word until the rule is called back', () => {
    const rule = createRoomRule();
    expect(rule.hear('p')).toMatch(/paint/);
    expect([rule.next(8).word, rule.next(8).word]).toEqual(['paint', 'paint']);
    expect(rule.hear('nonsense')).toBeNull();
    rule.hear('r');
    expect(rule.next(8).word).toBe('dark');
  });

  it('an arrangement can be sent as one line', () => {
    const wanted = scenes.b(8);
    expect(readArrangement(JSON.stringify(wanted))).toEqual(wanted);
    expect(readArrangement('{"firing":')).toBeNull();
    expect(readArrangement('{}')).toBeNull();
  });
});

describe('the loopback camera as a person starts it', () => {
  it('shows the simulated room through the real library', async context => {
    needsLibrary(context);
    const own = ownEnvironment();
    const arguments_ = ['--port', '0', '--speed', '40', '--megapixels', '0.1'];
    const person = execaNode(join(root, 'tests/loopback-camera/main.ts'), arguments_, {
      nodeOptions: ['--import', 'tsx'],
      cwd: root,
      reject: false,
    });
    let said = '';
    person.stdout.on('data', (bytes: Buffer) => {
      said += bytes.toString();
    });
    await until(() => /listens on port \d+/.test(said), 40_000);
    const port = /listens on port (\d+)/.exec(said)![1];
    const camera = await openGphoto2({port: `ip:127.0.0.1:${port}`, environment: own.environment});
    await camera.set({shutterSeconds: 8, fNumber: 8, iso: 100});
    const brightness: number[] = [];
    for (const word of ['d', 's']) {
      person.stdin.write(`${word}\n`);
      await until(() => said.includes(word === 'd' ? 'see: dark' : 'see: sitter'));
      const [frame] = await camera.expose(plainly(8));
      const path = join(own.folder, `${word}.jpg`);
      await camera.pull(frame!, path, () => undefined, noSignal());
      const {channels} = await sharp(await readFile(path)).stats();
      brightness.push(channels[0]!.mean);
    }
    expect(brightness[1]!).toBeGreaterThan(brightness[0]! + 2);
    await camera.close();
    person.kill('SIGTERM');
    await person;
    own.remove();
  }, 90_000);
});
