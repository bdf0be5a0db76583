import {spawnSync} from 'node:child_process';
import {cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import sharp from 'sharp';
import {afterAll, describe, expect, test} from 'vitest';
import {printedReadingSchema} from '../../shared/reading.js';
import {zonesSchema} from '../../shared/zones.js';
import {planReportSchema} from '../../src/light/plan-schema.js';
import {openShoot} from '../../src/shoot/open-shoot.js';
import {darkset, projectFolder} from '../built-program.js';

const folder = mkdtempSync(path.join(tmpdir(), 'darkset-command-'));
afterAll(() => rmSync(folder, {recursive: true}));
const at = (name: string): string => path.join(folder, name);

/** One sentence for a person, on one line, and nothing that a terminal would obey. */
const expectOneSentence = (text: string): void => {
  expect(text).toMatch(/^darkset: [^\n]+\.\n$/);
  expect(text).not.toMatch(/[\u0000-\u0009\u000b-\u001f\u007f-\u009f]/);
};

const noise = (width: number, height: number): Promise<Buffer> =>
  sharp({create: {width, height, channels: 3, background: '#000', noise: {type: 'gaussian', mean: 40, sigma: 8}}})
    .jpeg()
    .toBuffer();

describe('plan', () => {
  test('8 s f/8 ISO 100 is EV100 3, and a room of EV −4 falls to −7 EV', () => {
    const {code, out} = darkset('plan --shutter 8 --aperture 8 --iso 100 --room-ev -4 --json'.split(' '));
    const report = planReportSchema.parse(JSON.parse(out));
    expect(code).toBe(0);
    expect(report.exposure.ev100).toBeCloseTo(3, 9);
    expect(report.room?.levelEv).toBeCloseTo(-7, 9);
    expect(report.focus).toBeNull();
    expect(report.change).toBeNull();
  });

  test('24 mm f/8 at 1.5 m is sharp from 0.929 to 3.896 m', () => {
    const {out} = darkset('plan --shutter 8 --aperture 8 --iso 100 --focal 24 --focus-distance 1.5 --json'.split(' '));
    const {focus} = planReportSchema.parse(JSON.parse(out));
    expect(focus?.nearMetres).toBeCloseTo(0.929, 3);
    expect(focus?.farMetres).toBeCloseTo(3.896, 3);
  });

  test('to f/10 ISO 50 is −1.644 EV, distance ×0.566', () => {
    const {out} = darkset('plan --shutter 8 --aperture 8 --iso 100 --to-aperture 10 --to-iso 50 --json'.split(' '));
    const {change} = planReportSchema.parse(JSON.parse(out));
    expect(change?.ev).toBeCloseTo(-1.644, 3);
    expect(change?.distanceFactor).toBeCloseTo(0.566, 3);
  });

  test.each([
    'plan --shutter 8 --aperture 8',
    'plan --shutter eight --aperture 8 --iso 100',
    'plan --shutter 8 --aperture 0 --iso 100',
    'plan --shutter 8 --aperture 8 --iso 100 --room-ev dark',
    'plan --shutter 8 --aperture 8 --iso 100 --room-ev 900',
    'plan --shutter 8 --aperture 8 --iso 100 --room-ev 1 --room-lux 1',
    'plan --shutter 8 --aperture 8 --iso 100 --focal 24',
    'plan --shutter 8 --aperture 8 --iso 100 --focal 24 --focus-distance 1.5 --sensor big',
    'plan --shutter 8 --aperture 8 --iso 100 --rig nowhere.json',
    'plan --shutter 8 --aperture 8 --iso 100 --colour red',
    'measure',
    'attempts',
    '--camera pinhole',
    '--speed 0',
    'verify a b',
  ])('darkset %s is wrong use: one sentence, exit code 2', line => {
    const {code, out, err} = darkset(line.split(' '), {cwd: folder});
    expect(code).toBe(2);
    expect(out).toBe('');
    expectOneSentence(err);
  });
});

test('the screens refuse a pipe in one sentence', () => {
  const {code, err} = darkset([at('piped')]);
  expect(code).toBe(2);
  expectOneSentence(err);
});

describe('measure', () => {
  test('prints one object for one frame and an array for several, and nothing else', async () => {
    writeFileSync(at('one.jpg'), await noise(300, 200));
    writeFileSync(at('two.jpg'), await noise(300, 200));
    const one = spawnSync('npm', ['start', '--silent', '--', 'measure', at('one.jpg'), '--json'], {
      cwd: projectFolder,
      encoding: 'utf8',
    });
    expect(one.status).toBe(0);
    const reading = JSON.parse(one.stdout);
    expect(printedReadingSchema.parse(reading)).toEqual(reading);
    const {out} = darkset(['measure', at('one.jpg'), at('two.jpg'), '--json']);
    expect(JSON.parse(out)).toHaveLength(2);
  });

  const bad: [what: string, name: string, content: () => Promise<Buffer | string>][] = [
    ['an empty file', 'empty.jpg', async () => ''],
    ['text called a photograph', 'text.jpg', async () => 'this is no photograph'],
    ['a photograph that ends too early', 'torn.jpg', async () => (await noise(900, 600)).subarray(0, 5000)],
    ['a name that would move the cursor', 'red\u001b[31m.jpg', async () => 'no'],
    [
      'a picture of absurd size',
      'huge.png',
      // A PNG that claims 60,000 × 60,000 pixels and holds none.
      async () => Buffer.from('89504e470d0a1a0a0000000d494844520000ea600000ea600802000000', 'hex'),
    ],
  ];
  test.each(bad)('%s is said in one sentence, exit code 1', async (_what, name, content) => {
    writeFileSync(at(name), await content());
    const {code, out, err} = darkset(['measure', at(name), '--json']);
    expect(code).toBe(1);
    expect(out).toBe('');
    expectOneSentence(err);
  });

  test('a frame that is not there does not keep the others from being measured', async () => {
    writeFileSync(at('good.jpg'), await noise(300, 200));
    const {code, out, err} = darkset(['measure', at('nowhere.jpg'), at('good.jpg'), '--json']);
    expect(code).toBe(1);
    expect(JSON.parse(out)).toHaveLength(1);
    expectOneSentence(err);
  });

  test('the face is where the shoot has it whose plates these are, when nothing beside them says so', async () => {
    const demo = path.join(projectFolder, 'fixtures/demo');
    const frame = path.join(demo, 'attempts/1.jpg');
    const read = (plates: string) => {
      const {code, out} = darkset(['measure', frame, '--plates', plates, '--json']);
      expect(code).toBe(0);
      return printedReadingSchema.parse(JSON.parse(out));
    };
    const asSet = read(path.join(demo, 'plates'));
    const shoot = await openShoot(at('shoot'), {program: 'darkset test'});
    const zones = zonesSchema.parse(JSON.parse(readFileSync(path.join(demo, 'plates/zones.json'), 'utf8')));
    await shoot.append({kind: 'zones-set', zones});
    await shoot.close();
    cpSync(path.join(demo, 'plates'), at('shoot/plates'), {recursive: true});
    rmSync(at('shoot/plates/zones.json'));
    expect(read(at('shoot/plates')).trail).toEqual(asSet.trail);
    // And where no shoot is, a plate tells where the head is better than a frame that is drawn over.
    cpSync(at('shoot/plates'), at('loose/plates'), {recursive: true});
    const guessed = read(at('loose/plates'));
    expect(Math.abs(guessed.trail!.coverage - asSet.trail!.coverage)).toBeLessThan(0.1);
    expect(Math.abs(guessed.face.levelEv! - asSet.face.levelEv!)).toBeLessThan(0.5);
  });

  test('plates that are not there are said', () => {
    const {code, err} = darkset(['measure', at('good.jpg'), '--plates', at('no-plates'), '--json']);
    expect(code).toBe(1);
    expectOneSentence(err);
  });
});

describe('a shoot that is not there', () => {
  test.each(['attempts', 'verify', 'wrap'])('darkset %s says so and makes none', command => {
    const {code, err} = darkset([command, at('no-shoot')]);
    expect(code).toBe(1);
    expectOneSentence(err);
    expect(darkset([command, at('no-shoot')]).code).toBe(1);
  });
});
