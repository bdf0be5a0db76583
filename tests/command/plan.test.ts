import {mkdtempSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {join} from 'node:path';
import {afterAll, afterEach, beforeAll, describe, expect, it, vi} from 'vitest';
import {type PlanFlags, plan} from '../../src/command/plan.js';
import {planReportSchema} from '../../src/light/plan-schema.js';
import {printRig} from '../../src/light/rig-file.js';
import {testRig} from '../light/test-rig.js';

const base = {shutter: '8', aperture: '8', iso: '100'};

let folder = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'plan-'));
});
afterAll(() => rmSync(folder, {recursive: true, force: true}));
afterEach(() => {
  vi.restoreAllMocks();
});

const fileWith = (name: string, text: string): string => {
  const path = join(folder, name);
  writeFileSync(path, text);
  return path;
};

/** What the command prints for these flags. */
const printed = async (flags: Partial<PlanFlags>): Promise<string> => {
  let text = '';
  vi.spyOn(process.stdout, 'write').mockImplementation(chunk => {
    text += String(chunk);
    return true;
  });
  await plan({...base, ...flags});
  return text;
};

describe('the plan command', () => {
  it('prints the published JSON for its flags, and nothing else', async () => {
    const rig = fileWith('rig.json', printRig(testRig));
    const flags = {roomEv: '-4', focal: '24', focusDistance: '1.5', toAperture: 'f/10', toIso: '50', json: true, rig};
    const report = planReportSchema.parse(JSON.parse(await printed(flags)));
    expect(report.exposure).toEqual({shutterSeconds: 8, fNumber: 8, iso: 100, ev100: 3});
    expect(report.room!.levelEv).toBe(-7);
    expect(report.focus!.nearMetres).toBeCloseTo(0.929, 3);
    expect(report.focus!.farMetres!).toBeCloseTo(3.896, 3);
    expect(report.change!.ev).toBeCloseTo(-1.644, 3);
    expect(report.change!.distanceFactor).toBeCloseTo(0.566, 3);
    expect(report.flashes.map(flash => flash.id)).toEqual(['A', 'B']);
  });

  it('reads settings as people write them', async () => {
    const flags = {shutter: '1/2', aperture: 'f/5.6', iso: 'ISO 200', roomEv: '−3.5', json: true};
    const report = planReportSchema.parse(JSON.parse(await printed(flags)));
    expect(report.exposure).toMatchObject({shutterSeconds: 0.5, fNumber: 5.6, iso: 200});
    expect(report.room!.ev100).toBe(-3.5);
  });

  it('prints words without --json, with reasons on request', async () => {
    expect(await printed({roomLux: '0.2'})).toMatch(/^Exposure\n {2}8 s at f\/8/);
    expect(await printed({explain: true})).toContain('ISO 2720:1974');
  });

  it.each<[Partial<PlanFlags>, RegExp]>([
    [{focal: '24'}, /--focal and --focus-distance/],
    [{sensor: '36x24'}, /--sensor goes with/],
    [{roomEv: 'dark'}, /--room-ev takes a number, not "dark"/],
    [{roomLux: '-2'}, /The room light is −2 lx; it must lie between/],
    [{roomEv: '1', roomLux: '1'}, /not both/],
    [{shutter: 'long'}, /"long" is not a shutter time/],
    [{focal: '24', focusDistance: '1.5', sensor: 'big'}, /36x24/],
    [{rig: '/no/such/rig.json'}, /The rig file "\/no\/such\/rig.json" can't be read/],
  ])('refuses %j in one sentence', async (flags, sentence) => {
    await expect(printed(flags)).rejects.toThrow(sentence);
  });

  it('says what is wrong inside a rig file', async () => {
    const rig = fileWith('bad.json', '{"schema": 1, "lights": [{"id": "A"}]}');
    await expect(printed({rig})).rejects.toThrow("The rig file can't be used: light A, distanceMetres is missing.");
  });
});
