import {execFileSync} from 'node:child_process';
import {mkdtempSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import {expect, test} from 'vitest';
import {attemptsCsv, attemptsJson} from '../../src/wrap/export-attempts.js';
import {needs} from '../needs.js';
import {hostileText, makeShoot, rigWithB} from './made-shoot.js';

const readCsv = (text: string): Record<string, string>[] => {
  const file = path.join(mkdtempSync(path.join(tmpdir(), 'darkset-csv-')), 'a.csv');
  writeFileSync(file, text);
  const script =
    'import csv,json,sys;print(json.dumps(list(csv.DictReader(open(sys.argv[1],newline="",encoding="utf8"),strict=True))))';
  return JSON.parse(execFileSync('python3', ['-c', script, file], {encoding: 'utf8'}));
};

test("Python's csv module reads one row an attempt, with units in the column names", async context => {
  needs(context, 'python3', 'python3');
  const {shoot} = await makeShoot([
    {mark: 'drop', reading: null},
    {mark: 'keep', rig: rigWithB({distanceMetres: 0.9}), files: ['A.JPG', 'A.DNG']},
  ]);
  const rows = readCsv(attemptsCsv(shoot));
  expect(rows).toHaveLength(2);
  expect(rows[0]).toMatchObject({attempt: '1', mark: 'drop', face_level_ev: '', trouble: 'The frame can’t be read.'});
  expect(rows[1]).toMatchObject({
    attempt: '2',
    at: shoot.attempts[1]!.at,
    mark: 'keep',
    changes: 'B moved 1.2 → 0.9 m',
    shutter_s: '8',
    aperture_f_number: '8',
    sensitivity_iso: '100',
    open_s: '8.003',
    focal_length_mm: '50',
    mark_to_back_wall_m: '1.6',
    painting_light_level_ev: '1.5',
    face_level_ev: '-0.6',
    room_level_ev: '-9',
    trail_coverage_fraction: '0.86',
    head_gap_heads: '0.5',
    A_power_of_full: '0.25',
    B_distance_m: '0.9',
    B_snoot_tube_mm: '160',
    B_against_plate_ev: '0.1',
    B_spill_ev: '-5.8',
    files: 'attempts/002/A.JPG attempts/002/A.DNG',
  });
});

test('JSON says the same with numbers as numbers and what was not measured as null', async () => {
  const {shoot} = await makeShoot([{reading: null}, {}]);
  const rows: unknown = JSON.parse(attemptsJson(shoot));
  expect(rows).toMatchObject([
    {attempt: 1, face_level_ev: null, score_of_100: null},
    {attempt: 2, face_level_ev: -0.6, B_fired: true},
  ]);
});

test('a light that came later has its columns in every row', async () => {
  const {lights} = rigWithB({});
  const only = {...rigWithB({}), lights: [lights[0]!]};
  const {shoot} = await makeShoot([{rig: only}, {rig: rigWithB({})}]);
  const [header, first] = attemptsCsv(shoot).split('\r\n');
  expect(header).toContain(',B_distance_m,');
  expect(first!.split(',')).toHaveLength(header!.split(',').length);
});

test('hostile notes stay in their field, and none is a formula', async context => {
  needs(context, 'python3', 'python3');
  const notes = [hostileText, '@SUM(A1)', '-2+3', 'line\nbreak, "quoted"'];
  const {shoot} = await makeShoot(notes.map(note => ({notes: [note]})));
  const rows = readCsv(attemptsCsv(shoot));
  expect(rows).toHaveLength(4);
  for (const row of rows) expect(row.notes).not.toMatch(/^[\s]*[=+\-@]/);
  expect(rows[3]!.notes).toBe('line break, "quoted"');
});

test('a shoot without attempts is an empty text and an empty list', async () => {
  const {shoot} = await makeShoot([]);
  expect(attemptsCsv(shoot)).toBe('');
  expect(attemptsJson(shoot)).toBe('[]\n');
});
