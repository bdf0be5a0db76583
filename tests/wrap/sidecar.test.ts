import {execFileSync} from 'node:child_process';
import {mkdtempSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import fc from 'fast-check';
import {expect, test} from 'vitest';
import {attemptDescription} from '../../src/wrap/attempt-words.js';
import {cleanText} from '../../src/wrap/markup.js';
import {type SidecarText, xmpSidecar} from '../../src/wrap/sidecar.js';
import {needs} from '../needs.js';
import {hostileText, makeShoot, rigWithB} from './made-shoot.js';

const text: SidecarText = {
  title: 'The Lantern Keeper, attempt 7',
  description: 'Attempt 7.\nface clear: clear',
  mark: 'keep',
  creator: 'A. Photographer',
  writtenAt: '2026-03-15T09:00:00.000Z',
};

const write = (packet: string): string => {
  const file = path.join(mkdtempSync(path.join(tmpdir(), 'darkset-xmp-')), 'a.xmp');
  writeFileSync(file, packet);
  return file;
};

const readBack = (file: string): Record<string, unknown> =>
  JSON.parse(execFileSync('exiftool', ['-json', '-charset', 'UTF8', '-XMP:all', file], {encoding: 'utf8'}))[0];

/** A second reader besides exiftool: Python's expat parser, which also checks that the packet is well-formed. */
const valueByExpat = (file: string, tag: string): string =>
  execFileSync(
    'python3',
    [
      '-c',
      'import sys,xml.etree.ElementTree as e;r=e.parse(sys.argv[1]).getroot();' +
        'print(next("".join(n.itertext()) for n in r.iter() if n.tag.endswith("}"+sys.argv[2])),end="")',
      file,
      tag,
    ],
    {encoding: 'utf8', env: {...process.env, PYTHONIOENCODING: 'utf8'}},
  );

test('exiftool reads every field back', context => {
  needs(context, 'exiftool', 'libimage-exiftool-perl');
  expect(readBack(write(xmpSidecar(text)))).toMatchObject({
    Rating: 5,
    Label: 'keep',
    Title: 'The Lantern Keeper, attempt 7',
    Creator: 'A. Photographer',
    CreatorTool: 'darkset',
  });
});

test.each([
  ['keep', 5],
  ['maybe', 3],
  ['drop', -1],
  [null, 0],
] as const)('the mark %s is the rating %i, within −1 to 5 of ISO 16684-1', (mark, rating) => {
  expect(xmpSidecar({...text, mark})).toContain(`<xmp:Rating>${rating}</xmp:Rating>`);
});

test('without a creator or a mark the fields are left out', () => {
  const packet = xmpSidecar({...text, creator: null, mark: null});
  expect(packet).not.toMatch(/creator|Label/);
});

test('the packet is framed as the standard wants it', () => {
  const packet = xmpSidecar(text);
  expect(packet.startsWith('<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>\n<x:xmpmeta')).toBe(true);
  expect(packet).toContain('<dc:description><rdf:Alt><rdf:li xml:lang="x-default">');
  expect(packet.endsWith('</x:xmpmeta>\n<?xpacket end="w"?>\n')).toBe(true);
});

test('hostile text stays text: two parsers read it back whole', context => {
  needs(context, 'exiftool', 'libimage-exiftool-perl');
  needs(context, 'python3', 'python3');
  const file = write(xmpSidecar({...text, title: hostileText, creator: hostileText, description: hostileText}));
  for (const tag of ['title', 'description', 'creator']) {
    expect(valueByExpat(file, tag).trim()).toBe(cleanText(hostileText));
  }
  const read = readBack(file);
  expect(read.Title).toBe(cleanText(hostileText));
  expect(read.Creator).toBe(cleanText(hostileText));
  expect(read.Rating).toBe(5);
  const found = execFileSync('exiftool', ['-s3', '-validate', '-warning', '-error', '-a', file], {encoding: 'utf8'});
  expect(found).toBe('OK\n');
});

test('any text gives a packet that an XML parser takes', context => {
  needs(context, 'xmllint', 'libxml2-utils');
  const files = fc
    .sample(fc.string({unit: 'binary', maxLength: 60}), 60)
    .map(any => write(xmpSidecar({...text, title: any, description: any, creator: any})));
  expect(() => execFileSync('xmllint', ['--noout', ...files], {stdio: 'pipe'})).not.toThrow();
});

test("the description holds the attempt's settings, changes, readings and notes", async () => {
  const moved = {mark: 'keep' as const, rig: rigWithB({distanceMetres: 0.9}), notes: ['chin down\u001b[2J']};
  const {shoot} = await makeShoot([{}, moved]);
  const lines = attemptDescription(shoot.attempts[1]!, shoot.name).split('\n');
  expect(lines.slice(0, 2)).toEqual([
    'Attempt 2 of lantern-keeper, 8 s f/8 ISO 100.',
    'Changed before it: B moved 1.2 → 0.9 m.',
  ]);
  expect(lines).toContain('face clear: clear');
  expect(lines.find(line => line.startsWith('spill B: '))).toMatch(/−5\.8 EV/);
  expect(lines.at(-1)).toBe('Note: chin down [2J');
});
