import {writeFile} from 'node:fs/promises';
import path from 'node:path';
import fc from 'fast-check';
import {expect, it} from 'vitest';
import {quote} from '../../../shared/exposure.js';
import {demoRig} from '../../../shared/rig.js';
import {depthOfField} from '../../../src/light/focus.js';
import {parseRig, printRig} from '../../../src/light/rig-file.js';
import {safeName} from '../../../src/shoot/names.js';
import {openShoot} from '../../../src/shoot/open-shoot.js';
import {temporaryFolder} from '../../shoot/fakes.js';
import {unfitForTerminal} from './hostile.js';

/* What hostile input once did stays mended. */

it('a journal with a line nested twenty thousand deep opens, and the line is set aside', async () => {
  const {folder, remove} = await temporaryFolder();
  const deep = `${'['.repeat(20_000)}"\\u001b"${']'.repeat(20_000)}`;
  await writeFile(path.join(folder, 'shoot.jsonl'), `{"v":1,"at":"x","kind":"noted","attempt":1,"text":${deep}}\n`);
  const open = await openShoot(folder, {program: 'darkset test'});
  expect(open.findings[0]).toMatch(/^Line 1 of the journal is damaged/);
  await open.close();
  await remove();
});

it('whatever a person typed is quoted without anything that a terminal acts on, also when it is cut', () => {
  fc.assert(
    fc.property(fc.string({unit: 'binary', maxLength: 60}), text => {
      expect(unfitForTerminal(quote(text))).toBeNull();
    }),
    {numRuns: 2000},
  );
  for (const text of ['\ufeff', '\u061c', '\u2028', `${'a'.repeat(39)}😀😀`])
    expect(unfitForTerminal(quote(text))).toBeNull();
});

it('a lens of nearly no focal length is refused, before it is drawn to infinity', () => {
  const rig = printRig({...demoRig, lens: {...demoRig.lens, focalMillimetres: 5e-324}});
  expect(() => parseRig(rig)).toThrow(/lens, focalMillimetres must be at least 1\.$/);
});

it('a focus distance beyond all measure is refused, before it becomes no number', () => {
  const optics = {focalMillimetres: 50, fNumber: 8, sensorWidthMillimetres: 36, sensorHeightMillimetres: 24};
  expect(() => depthOfField(optics, Number.MAX_VALUE)).toThrow(/The focus distance is .* between 0 and 100000 m\.$/);
});

it('a length that is no number, where a text should be, is refused as any other nonsense', async () => {
  const trap = '{"length":{"toString":1}}';
  const {folder, remove} = await temporaryFolder();
  await writeFile(path.join(folder, 'shoot.jsonl'), `{"v":1,"at":"x","kind":"noted","attempt":1,"text":${trap}}\n`);
  const open = await openShoot(folder, {program: 'darkset test'});
  expect(open.findings[0]).toMatch(/^Line 1 of the journal is damaged/);
  await open.close();
  await remove();
  const rig = printRig(demoRig).replace('"The Lantern Keeper"', trap);
  expect(() => parseRig(rig)).toThrow("The rig file can't be used: a value in it is impossible.");
});

it('a long name that begins with a dash is safe at once, and the same when it is made safe again', () => {
  const safe = safeName(`${'-->'.repeat(1024)}.JPG`);
  expect(safe).toMatch(/^_--.*\.JPG$/);
  expect(Buffer.byteLength(safe)).toBeLessThanOrEqual(120);
  expect(safeName(safe)).toBe(safe);
});
