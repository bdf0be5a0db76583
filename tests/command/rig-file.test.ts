import {existsSync, writeFileSync} from 'node:fs';
import path from 'node:path';
import {afterAll, beforeAll, describe, expect, test} from 'vitest';
import {demoRig, type Rig} from '../../shared/rig.js';
import {readRigFile, setRig} from '../../src/command/rig-file.js';
import {printRig} from '../../src/light/rig-file.js';
import {darkset} from '../built-program.js';
import {fakeSession, temporaryFolder} from '../shoot/fakes.js';

let place: Awaited<ReturnType<typeof temporaryFolder>>;
beforeAll(async () => {
  place = await temporaryFolder();
});
afterAll(() => place.remove());

const rig: Rig = {...demoRig, name: 'the cellar', notes: 'the wall is painted black'};
const at = (name: string): string => path.join(place.folder, name);

describe('--rig', () => {
  test('a rig file is read, and one that cannot be is said', async () => {
    writeFileSync(at('cellar.json'), printRig(rig));
    expect(await readRigFile(at('cellar.json'))).toEqual(rig);
    await expect(readRigFile(at('nowhere.json'))).rejects.toMatchObject({name: 'UsageFault'});
    writeFileSync(at('bad.json'), JSON.stringify({...rig, lights: [{...rig.lights[0], pops: 1000}]}));
    await expect(readRigFile(at('bad.json'))).rejects.toMatchObject({name: 'RigFault'});
  });

  test('a bad rig file is wrong use, in one sentence, and no shoot is made', () => {
    for (const file of ['nowhere.json', 'bad.json']) {
      const {code, out, err} = darkset([at('new-shoot'), '--rig', at(file)]);
      expect(code).toBe(2);
      expect(out).toBe('');
      expect(err).toMatch(/^darkset: The rig file [^\n]+\.\n$/);
      expect(existsSync(at('new-shoot'))).toBe(false);
    }
  });

  test('darkset plan keeps a --rig of its own', () => {
    const {code, out} = darkset([
      'plan',
      '--shutter',
      '8',
      '--aperture',
      '8',
      '--iso',
      '100',
      '--rig',
      at('cellar.json'),
      '--json',
    ]);
    expect(code).toBe(0);
    expect(JSON.parse(out).flashes).toHaveLength(2);
  });

  test('a shoot that has begun takes the rig as one more change, once', async () => {
    const world = await fakeSession();
    try {
      setRig(world.session, rig);
      await world.until(state => state.shoot.rig.name === 'the cellar');
      const sent: unknown[] = [];
      setRig({...world.session, send: intent => sent.push(intent)}, rig);
      expect(sent).toEqual([]);
    } finally {
      await world.session.close();
    }
  });
});
