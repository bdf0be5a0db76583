import {spawnSync} from 'node:child_process';
import {copyFileSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {dirname, join, relative, resolve} from 'node:path';
import {afterAll, describe, expect, test} from 'vitest';

/*
 * The import rule of the house is a lint rule. Here it is shown to bite (a forbidden import in each room is refused),
 * and the tree is held against the same rule by resolved path, which patterns on the written specifier can't do.
 */

const root = resolve(import.meta.dirname, '../..');
const mayImport: Record<string, string[]> = {
  shared: ['shared'],
  'src/light': ['shared', 'src/light'],
  'src/frame': ['shared', 'src/frame'],
  'src/judge': ['shared', 'src/light', 'src/frame', 'src/judge'],
  'src/shoot': ['shared', 'src/light', 'src/frame', 'src/judge', 'src/shoot'],
  'src/wrap': ['shared', 'src/light', 'src/frame', 'src/judge', 'src/shoot', 'src/wrap'],
  'src/screen': ['shared', 'src/light', 'src/frame', 'src/judge', 'src/shoot', 'src/screen'],
  'src/command': ['shared', 'src', 'adapters'],
  adapters: ['shared', 'src/light', 'adapters'],
};

const filesUnder = (folder: string): string[] =>
  readdirSync(join(root, folder), {recursive: true, encoding: 'utf8'})
    .filter(name => /\.tsx?$/.test(name))
    .map(name => join(folder, name));

const importsOf = (file: string): string[] =>
  [...readFileSync(join(root, file), 'utf8').matchAll(/(?:from|import\(|import)\s*['"](\.[^'"]+)['"]/g)].map(match =>
    relative(root, resolve(root, dirname(file), match[1]!)),
  );

test.each(Object.entries(mayImport))('%s imports only what its room may', (room, allowed) => {
  const files = filesUnder(room);
  const wrong = files.flatMap(file =>
    importsOf(file)
      .filter(target => !allowed.some(folder => target.startsWith(`${folder}/`)))
      .map(target => `${file} imports ${target}`),
  );
  expect(wrong).toEqual([]);
});

describe('the lint rule refuses', () => {
  const probes: [string, string][] = [
    ['shared', '../src/light/exposure.js'],
    ['src/light', '../frame/decode.js'],
    ['src/light', 'node:fs'],
    ['src/frame', '../judge/judge.js'],
    ['src/judge', '../shoot/state.js'],
    ['src/shoot', '../../adapters/studio/open-studio.js'],
    ['src/wrap', '../screen/app.js'],
    ['src/screen', 'node:fs'],
    ['adapters/studio', '../../src/shoot/state.js'],
  ];
  // A copy of the rules in an empty folder, so that no probe ever stands in the real tree.
  const folder = mkdtempSync(join(tmpdir(), 'darkset-lint-'));
  copyFileSync(join(root, 'biome.json'), join(folder, 'biome.json'));
  afterAll(() => rmSync(folder, {recursive: true}));

  test.each(probes)('in %s an import of %s', (room, target) => {
    const file = join(folder, room, 'probe.ts');
    mkdirSync(dirname(file), {recursive: true});
    writeFileSync(file, `import * as forbidden from '${target}';\n\nexport const probe = forbidden;\n`);
    const {status, stdout, stderr} = spawnSync(
      join(root, 'node_modules/.bin/biome'),
      ['lint', '--vcs-enabled=false', `${room}/probe.ts`],
      {cwd: folder, encoding: 'utf8'},
    );
    expect(`${stdout}${stderr}`).toContain('noRestrictedImports');
    expect(status).toBe(1);
  });

  test('but not an import that its room may make', () => {
    const file = join(folder, 'src/light/fine.ts');
    mkdirSync(dirname(file), {recursive: true});
    writeFileSync(file, `import {levelEv} from '../../shared/level.js';\n\nexport const probe = levelEv(1);\n`);
    const run = spawnSync(join(root, 'node_modules/.bin/biome'), ['lint', '--vcs-enabled=false', 'src/light/fine.ts'], {
      cwd: folder,
      encoding: 'utf8',
    });
    expect(run.stderr + run.stdout).not.toContain('noRestrictedImports');
    expect(run.status).toBe(0);
  });
});
