import {mkdir, symlink} from 'node:fs/promises';
import path from 'node:path';
import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import {insideReally, nameChoices, safeName, safePath, sameNameKey} from '../../src/shoot/names.js';
import {ShootFault} from '../../src/shoot/shoot-fault.js';
import {temporaryFolder} from './fakes.js';

const hostile = fc.oneof(
  fc.string({unit: 'binary', maxLength: 300}),
  fc.string({unit: 'grapheme', maxLength: 300}),
  fc.constantFrom(
    '..',
    '../../etc/passwd',
    'a/../../b',
    '..\\..\\boot.ini',
    '/etc/passwd',
    'C:\\x',
    '\0',
    'x\0.jpg',
    'x\n.jpg',
    '\u001b[31mred\u001b[0m.jpg',
    '\u202egpj.exe',
    `${'n'.repeat(4096)}.jpg`,
    'CON',
    'nul.jpg',
    'com1.cr3',
    '-rf',
    '.hidden',
    '...',
    ' ',
    '',
    `${'a'.repeat(119)}😀.jpg`,
    '\ud800.jpg',
    'e\u0301.jpg',
  ),
);

describe('a safe name', () => {
  it('is what a camera usually gives, unchanged', () => {
    for (const name of ['DSC_0001.JPG', 'IMG_1234.CR3', '_MG_0042.dng', 'Bild 7 ä.jpg'])
      expect(safeName(name)).toBe(name);
  });

  it.each([
    ['../../etc/passwd', 'passwd'],
    ['..\\..\\boot.ini', 'boot.ini'],
    ['x\0\n\u001b[2J.jpg', 'x [2J.jpg'],
    ['\u202egpj.exe', 'gpj.exe'],
    ['CON', '_CON'],
    ['nul.jpg', '_nul.jpg'],
    ['-rf', '_-rf'],
    ['...', 'frame'],
    ['', 'frame'],
    ['a:b|c?.jpg', 'a_b_c_.jpg'],
    ['trailing. . ', 'trailing'],
    ['e\u0301.jpg', 'é.jpg'],
  ])('makes of %j %j', (name, safe) => {
    expect(safeName(name)).toBe(safe);
  });

  it('cuts 4 KB to 120 bytes and keeps the ending', () => {
    const cut = safeName(`${'n'.repeat(4096)}.jpg`);
    expect(Buffer.byteLength(cut)).toBe(120);
    expect(cut.endsWith('n.jpg')).toBe(true);
  });

  it('is always one plain part of a path that any system takes, and safe itself', () => {
    fc.assert(
      fc.property(hostile, name => {
        const safe = safeName(name);
        expect(safe).not.toMatch(
          /[/\\<>:"|?*\u0000-\u001f\u007f-\u009f\u200e\u200f\u2028-\u202e\u2066-\u2069]|^[.\s-]|[.\s]$/,
        );
        expect(safe.length).toBeGreaterThan(0);
        expect(Buffer.byteLength(safe)).toBeLessThanOrEqual(121);
        expect(safe.isWellFormed()).toBe(true);
        expect(safe).not.toMatch(/^(con|prn|aux|nul|com\d|lpt\d)(\.|$)/i);
        expect(safeName(safe)).toBe(safe);
        expect(path.dirname(safePath('/shoot', `attempts/001/${safe}`))).toBe('/shoot/attempts/001');
      }),
      {numRuns: 2000},
    );
  });

  it('has a next choice when it is taken, and names that differ by case count as the same', () => {
    const choices = nameChoices('DSC_1.JPG');
    expect([choices.next().value, choices.next().value, choices.next().value]).toEqual([
      'DSC_1.JPG',
      'DSC_1-2.JPG',
      'DSC_1-3.JPG',
    ]);
    expect(sameNameKey('Dsc_1.jpg')).toBe(sameNameKey('DSC_1.JPG'));
    expect(sameNameKey('e\u0301')).toBe(sameNameKey('é'));
  });
});

describe('a path of the shoot', () => {
  it('is inside the shoot', () => {
    expect(safePath('/evening/window-light', 'attempts/007/DSC_0001.JPG')).toBe(
      '/evening/window-light/attempts/007/DSC_0001.JPG',
    );
  });

  it.each(['../x', '/etc/passwd', 'attempts/../../x', 'a/..', '..', '', '.', 'x\0y', 'C:\\x', 'attempts\\..\\..\\x'])(
    'is refused for %j',
    relative => {
      expect(() => safePath('/evening/window-light', relative)).toThrow(ShootFault);
    },
  );

  it('never leaves the shoot, whatever it is made of', () => {
    fc.assert(
      fc.property(fc.array(hostile, {maxLength: 5}), parts => {
        let absolute: string;
        try {
          absolute = safePath('/evening/window-light', parts.join('/'));
        } catch (error) {
          expect(error).toBeInstanceOf(ShootFault);
          return;
        }
        expect(absolute.startsWith('/evening/window-light/')).toBe(true);
        expect(path.relative('/evening/window-light', absolute).split(path.sep)).not.toContain('..');
      }),
      {numRuns: 2000},
    );
  });

  it('is refused when a link in it leads out', async () => {
    const {folder, remove} = await temporaryFolder();
    try {
      await mkdir(path.join(folder, 'shoot'));
      await mkdir(path.join(folder, 'elsewhere'));
      await symlink(path.join(folder, 'elsewhere'), path.join(folder, 'shoot', 'attempts'));
      await expect(insideReally(path.join(folder, 'shoot'), path.join(folder, 'shoot', 'attempts'))).rejects.toThrow(
        /leads out of the shoot/,
      );
    } finally {
      await remove();
    }
  });
});
