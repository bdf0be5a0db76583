import {execFileSync} from 'node:child_process';
import {mkdtempSync, readFileSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import sharp from 'sharp';
import {expect, test} from 'vitest';
import type {ShootFile} from '../../shared/journal.js';
import type {Rig} from '../../shared/rig.js';
import {foldShoot} from '../../src/shoot/fold.js';
import type {Shoot} from '../../src/shoot/state.js';
import {contactGrid} from '../../src/wrap/contact-picture.js';
import {makeDocuments} from '../../src/wrap/documents.js';
import {rigFromShoot} from '../../src/wrap/from-shoot.js';
import {lookBackPage, summariseShoot} from '../../src/wrap/look-back.js';
import {drawGraph, readingGraphs} from '../../src/wrap/reading-graph.js';
import {needs} from '../needs.js';
import {hostileText, type MadeShoot, makeShoot, readingWith, rigWithB} from './made-shoot.js';

const never = new AbortController().signal;

const once = <Value>(make: () => Promise<Value>): (() => Promise<Value>) => {
  let made: Promise<Value> | null = null;
  return () => {
    made ??= make();
    return made;
  };
};

/** One evening for all tests: they read it and change copies. */
const evening = once(() =>
  makeShoot(
    [
      {reading: readingWith(-4, 1.4), mark: 'drop'},
      {reading: readingWith(-5.59, 1.3), rig: rigWithB({distanceMetres: 0.9})},
      {reading: null, files: []},
      {reading: readingWith(-6.5, 0.5), mark: 'keep', files: ['A.JPG', 'A.DNG'], notes: ['chin a little lower']},
      {reading: readingWith(-5.2, 0.6), rig: rigWithB({distanceMetres: 0.9, angleDegrees: 60}), mark: 'maybe'},
    ],
    {name: 'The Lantern Keeper'},
  ),
);

/** The documents of that evening, in a folder of their own. */
const eveningDocuments = once(async () => {
  const {shoot, folder} = await evening();
  return documentsOf(shoot, folder);
});

/** Writes the documents into a folder of their own and returns it. */
const documentsOf = async (shoot: Shoot, shootFolder: string): Promise<string> => {
  const folder = mkdtempSync(path.join(tmpdir(), 'darkset-pages-'));
  for (const {name, content} of await makeDocuments({shoot, shootFolder}, never)) {
    writeFileSync(path.join(folder, name), content);
  }
  return folder;
};

/** What a reader of a page reads. */
const textOf = (html: string): string =>
  html
    .replace(/<style>.*<\/style>/s, '')
    .replace(/<[^>]+>/g, ' ')
    .replace(/\s+/g, ' ');

const pages = ['contact-sheet.html', 'set-up.html', 'look-back.html'];

/** A shoot in which every text that a person, a camera or a file can give is hostile. */
const hostileShoot = ({shoot}: MadeShoot): Shoot => ({
  ...shoot,
  name: hostileText,
  focusLocked: hostileText,
  camera: {kind: 'studio', maker: hostileText, model: hostileText, serial: '', port: ''},
  attempts: shoot.attempts.map(attempt => ({
    ...attempt,
    trouble: hostileText,
    notes: [hostileText],
    changes: [hostileText],
    limits: {[hostileText]: 1},
    reading: attempt.reading && {
      ...attempt.reading,
      checks: attempt.reading.checks.map(check => ({...check, say: hostileText})),
    },
    rig: {
      ...attempt.rig,
      name: hostileText.slice(0, 80),
      notes: hostileText,
      painting: {...attempt.rig.painting, name: hostileText.slice(0, 80)},
      lights: attempt.rig.lights.map(light => ({
        ...light,
        name: hostileText.slice(0, 80),
        gel: light.gel && {...light.gel, name: hostileText.slice(0, 80)},
        snoot: light.snoot && {...light.snoot, name: hostileText.slice(0, 80)},
      })),
    },
  })),
});

test('every page needs nothing but itself: no address, no script, and it says so to the browser', async () => {
  const folder = await eveningDocuments();
  for (const page of pages) {
    const html = readFileSync(path.join(folder, page), 'utf8');
    expect(html.replaceAll('xmlns="http://www.w3.org/2000/svg"', '')).not.toMatch(
      /https?:|<script|<link|url\(\s*['"]?[^#'"]|@import/,
    );
    expect(html).toContain("default-src 'none'");
  }
});

test('the contact sheet tells of every attempt its number, settings, changes, readings, verdict, mark and notes', async () => {
  const html = readFileSync(path.join(await eveningDocuments(), 'contact-sheet.html'), 'utf8');
  const cards = html.split('<li class=').slice(1);
  expect(cards).toHaveLength(5);
  expect(cards[1]).toContain('Changed: B moved 1.2 → 0.9 m');
  expect(cards[2]).toContain('no frame');
  for (const part of ['"keep"', '<b>4</b>', '>keep<', '8 s f/8 ISO 100', 'all well', 'chin a little lower', 'head gap'])
    expect(cards[3]).toContain(part);
  expect(html.match(/<img src="data:image\/jpeg;base64,/g)).toHaveLength(4);
});

test('an XML parser takes every page and drawing, also with hostile text everywhere', async context => {
  needs(context, 'xmllint', 'libxml2-utils');
  const made = await evening();
  for (const shoot of [made.shoot, hostileShoot(made)]) {
    const folder = await documentsOf(shoot, made.folder);
    const files = [...pages, 'set-up.svg'].map(name => path.join(folder, name));
    expect(() => execFileSync('xmllint', ['--noout', ...files], {stdio: 'pipe'})).not.toThrow();
    for (const file of files)
      expect(readFileSync(file, 'utf8')).not.toMatch(/[\u0000\u0007\u001b\u202a-\u202e\u2066-\u2069]/);
  }
});

/** Runs Debian's browser without a network. */
const browse = (args: string[]): string =>
  execFileSync(
    'chromium',
    [
      '--headless',
      '--no-sandbox',
      '--disable-gpu',
      '--hide-scrollbars',
      '--host-resolver-rules=MAP * ~NOTFOUND',
      ...args,
    ],
    {encoding: 'utf8', stdio: ['ignore', 'pipe', 'ignore'], timeout: 100_000},
  );

/** Pixels of the made frames' faces, a warm tone that no page has by itself. */
const facePixels = async (picture: string | Buffer): Promise<number> => {
  const {data} = await sharp(picture).removeAlpha().raw().toBuffer({resolveWithObject: true});
  let count = 0;
  for (let at = 0; at < data.length; at += 3) {
    const isFace =
      Math.abs(data[at]! - 217) < 14 && Math.abs(data[at + 1]! - 160) < 14 && Math.abs(data[at + 2]! - 102) < 14;
    if (isFace) count++;
  }
  return count;
};

test('a real browser shows the pages with their pictures, offline', {timeout: 240_000}, async context => {
  needs(context, 'chromium', 'chromium');
  const folder = await eveningDocuments();
  for (const [page, leastFace] of [
    ['contact-sheet.html', 8000],
    ['set-up.html', 8000],
    ['look-back.html', 0],
  ] as const) {
    const shot = path.join(folder, `${page}.png`);
    browse([`--screenshot=${shot}`, '--window-size=1300,1800', `file://${path.join(folder, page)}`]);
    const {channels} = await sharp(shot).stats();
    expect(channels[0]!.stdev).toBeGreaterThan(5);
    expect(await facePixels(shot)).toBeGreaterThanOrEqual(leastFace);
  }
});

test('a real browser finds the hostile text as text, and no element that it brought', {
  timeout: 240_000,
}, async context => {
  needs(context, 'chromium', 'chromium');
  const made = await evening();
  const folder = await documentsOf(hostileShoot(made), made.folder);
  for (const page of pages) {
    const dom = browse(['--dump-dom', `file://${path.join(folder, page)}`]);
    expect(dom).toContain('=1+1 &lt;b&gt;&amp;amp;&lt;/b&gt; ]]&gt;');
    expect(dom).not.toContain('<b>&amp;</b>');
  }
});

test.for([2, 4])('the set-up sheet of %i lights prints on one page', {timeout: 240_000}, async (lights, context) => {
  needs(context, 'chromium', 'chromium');
  const {shoot, folder: shootFolder} = await evening();
  const more = (rig: Rig): Rig => ({
    ...rig,
    notes: 'Black cloth behind; cardboard left and right of the head.',
    lights: Array.from({length: lights}, (_, at) => ({...rig.lights[at % 2]!, id: 'ABCD'[at]!})),
  });
  const attempts = shoot.attempts.map(attempt => ({...attempt, rig: more(attempt.rig)}));
  const folder = await documentsOf({...shoot, attempts}, shootFolder);
  const pdf = path.join(folder, 'a.pdf');
  browse([`--print-to-pdf=${pdf}`, '--no-pdf-header-footer', `file://${path.join(folder, 'set-up.html')}`]);
  expect(readFileSync(pdf, 'latin1').match(/\/Type\s*\/Page\b/g)).toHaveLength(1);
});

test('the set-up sheet holds everything from which the set is built again', async () => {
  const html = readFileSync(path.join(await eveningDocuments(), 'set-up.html'), 'utf8');
  const text = textOf(html);
  for (const part of [
    'as in attempt 4, kept',
    'power 1/4, guide number 32 m at ISO 100',
    'zoom 50 mm',
    'long snoot: 220 mm long',
    'full warm: 159 mired on 5500 K, costs 0.9 stops',
    '1.2 m from the face, 48° to the left, 1.9 m high',
    // √(1.2² − 0.3²) = 1.162 m along the floor, of it cos 48° and sin 48°.
    'on the floor from the mark 0.78 m towards the camera, then 0.86 m to the left',
    'aim at the face',
    '8 s f/8 ISO 100',
    'hold still 5.5 s, tone and speech',
    'back wall 1.6 m behind',
    'plate light A, 8 s f/8 ISO 100',
    'plate light B, 8 s f/8 ISO 100; since then B moved 1.2 → 0.9 m',
    'Attempt 4: all well. chin a little lower',
    'What helped:',
    'B moved 1.2 → 0.9 m: spill B −1.6 EV, better',
  ]) {
    expect(text).toContain(part);
  }
});

test('a renderer draws the set-up drawing', async context => {
  needs(context, 'rsvg-convert', 'librsvg2-bin');
  const made = await evening();
  for (const shoot of [made.shoot, hostileShoot(made)]) {
    const folder = await documentsOf(shoot, made.folder);
    const png = execFileSync('rsvg-convert', ['-w', '800', path.join(folder, 'set-up.svg')], {maxBuffer: 1 << 24});
    expect((await sharp(png).stats()).channels[0]!.stdev).toBeGreaterThan(5);
  }
});

test('the contact picture shows every frame, and stays one picture for any number of attempts', async () => {
  const folder = await eveningDocuments();
  const picture = path.join(folder, 'contact-sheet.jpg');
  expect(await sharp(picture).metadata()).toMatchObject({format: 'jpeg', width: 1600});
  expect(await facePixels(picture)).toBeGreaterThan(10_000);
  for (const attempts of [0, 1, 7, 60, 400, 3000]) {
    const {columns, rows, frame} = contactGrid(attempts);
    expect(columns * rows).toBeGreaterThanOrEqual(attempts);
    expect(rows * frame).toBeLessThan(65_000);
  }
});

test('a shoot without attempts and one whose frames are broken still give every sheet', async () => {
  const empty = await makeShoot([], {plates: false});
  await documentsOf(empty.shoot, empty.folder);
  const broken = await makeShoot([{}]);
  writeFileSync(path.join(broken.folder, 'attempts/001/DSC_101.JPG'), 'no picture');
  const html = readFileSync(path.join(await documentsOf(broken.shoot, broken.folder), 'contact-sheet.html'), 'utf8');
  expect(html).toContain('can’t be shown');
});

test('a file whose path leaves the shoot is not shown', async () => {
  const made = await makeShoot([{}]);
  const stray: ShootFile = {...made.shoot.attempts[0]!.files[0]!, path: '../../etc/hostname'};
  const shoot = {...made.shoot, attempts: made.shoot.attempts.map(attempt => ({...attempt, files: [stray]}))};
  expect(readFileSync(path.join(await documentsOf(shoot, made.folder), 'contact-sheet.html'), 'utf8')).toContain(
    'can’t be shown',
  );
});

test('the look back tells every change in order with what it moved', async () => {
  const {shoot} = await evening();
  const rows = textOf(lookBackPage(shoot)).split('moved since the attempt before ')[1]!.split(' Readings over ')[0];
  expect(rows).toMatch(
    /^2 B moved 1\.2 → 0\.9 m spill B −1\.6 EV, better helped 5 B went round .* spill B \+1\.3 EV, worse harmed$/,
  );
});

test('graphs show the readings that moved, mark states by shape, and name those that stayed', async () => {
  const {shoot} = await evening();
  const {moved, still} = readingGraphs(shoot.attempts);
  expect(moved.map(({id}) => id)).toEqual(['head gap', 'spill B']);
  expect(still).toContain('face level');
  const svg = drawGraph(moved[1]!).text;
  expect(moved[1]!.points.map(({state}) => state)).toEqual(['fail', 'watch', 'ok', 'watch']);
  expect(svg.match(/<circle[^>]*fill="#111"/g)).toHaveLength(1);
  expect(svg.match(/<circle[^>]*fill="#fff"/g)).toHaveLength(2);
  expect(svg.match(/l8 8 m0 -8/g)).toHaveLength(1);
});

test('the summary says how many, which is best, and what helped and harmed most', async () => {
  const {shoot} = await evening();
  expect(summariseShoot(shoot)).toEqual([
    '5 attempts, 4 measured, 1 kept, 1 maybe, 1 dropped.',
    'The best by its readings is attempt 4: all well.',
    'What helped most, before attempt 2: B moved 1.2 → 0.9 m: spill B −1.6 EV, better.',
    expect.stringMatching(/^What harmed most, before attempt 5: B went round .* spill B \+1\.3 EV, worse\.$/),
  ]);
  expect(summariseShoot(foldShoot([]))).toEqual(['0 attempts, 0 measured, 0 kept, 0 maybe, 0 dropped.']);
});

test('the set-up to rebuild is that of the newest keeper, else of the best attempt, else the plan', async () => {
  const {shoot} = await evening();
  const distance = (each: Shoot): number => rigFromShoot(each).rig.lights[1]!.distanceMetres;
  expect(rigFromShoot(shoot)).toMatchObject({attempt: 4, from: 'attempt 4, kept'});
  expect(distance(shoot)).toBe(0.9);
  const unmarked = {...shoot, attempts: shoot.attempts.map(attempt => ({...attempt, mark: null}))};
  expect(rigFromShoot(unmarked).from).toBe('attempt 4, the best by its readings');
  expect(rigFromShoot({...shoot, attempts: []})).toMatchObject({
    attempt: null,
    rig: shoot.rig,
    from: 'the plan; no attempt was measured',
  });
});
