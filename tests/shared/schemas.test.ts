import {expect, test} from 'vitest';
import {cueSheetSchema, usualCueSheet} from '../../shared/cues.js';
import {journalEntrySchema} from '../../shared/journal.js';
import {levelEv, linearOfLevel} from '../../shared/level.js';
import {printedReadingSchema} from '../../shared/reading.js';
import {demoRig, rigSchema} from '../../shared/rig.js';
import {zonesSchema} from '../../shared/zones.js';

test('the demo rig is a rig', () => {
  expect(rigSchema.parse(demoRig)).toEqual(demoRig);
});

test('the usual cue sheet is in order: ten seconds, paint for five, hold still, flash, closed', () => {
  const sheet = cueSheetSchema.parse(usualCueSheet(8));
  const at = Object.fromEntries(sheet.cues.map(cue => [cue.name, cue.atSeconds]));
  expect(sheet.countdownSeconds).toBe(10);
  expect(at['hold still']! - at.paint!).toBeCloseTo(5, 9);
  expect(at.closed).toBe(8);
  const times = sheet.cues.map(cue => cue.atSeconds);
  expect([...times].sort((a, b) => a - b)).toEqual(times);
});

test('middle grey is 0 EV and twice the light is one more', () => {
  expect(levelEv(0.18)).toBe(0);
  expect(levelEv(0.36)).toBe(1);
  expect(linearOfLevel(-3)).toBeCloseTo(0.0225, 12);
});

test('zones with a face of no size are refused', () => {
  expect(zonesSchema.safeParse({face: {cx: 0.5, cy: 0.5, rx: 0, ry: 0.2}}).success).toBe(false);
});

test('an entry of the journal with an unknown kind is refused by the schema', () => {
  expect(journalEntrySchema.safeParse({v: 1, at: '2026-01-01T00:00:00Z', kind: 'from the future'}).success).toBe(false);
});

test('printing a reading drops what the published form does not hold', () => {
  const printed = printedReadingSchema.parse({
    schema: 1,
    frame: {file: 'a.jpg', width: 3, height: 2, takenAt: null, exposure: null},
    lights: [],
    ambient: {levelEv: -9, riseEv: null, side: null, kelvin: null},
    spill: [{light: 'A', levelEv: -5, at: {x: 0.1, y: 0.2}, share: 0.9}],
    face: {levelEv: 0, clippedFraction: 0, leftRightEv: 1, sharpness: 1, shift: {x: 0, y: 0}, doubled: false},
    trail: null,
    checks: [{id: 'room', state: 'ok', say: 'dark', value: -9, limit: -7, unit: 'EV'}],
    advice: [],
    timing: {decodeMs: 1, measureMs: 1},
    missing: [],
  });
  expect(Object.keys(printed)).not.toContain('missing');
  expect(printed.spill[0]).toEqual({light: 'A', levelEv: -5, at: {x: 0.1, y: 0.2}});
  expect(printed.checks[0]).toEqual({id: 'room', state: 'ok', say: 'dark'});
});
