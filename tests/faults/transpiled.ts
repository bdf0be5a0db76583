import {mkdir, mkdtemp, readdir, readFile, rm, symlink, writeFile} from 'node:fs/promises';
import {tmpdir} from 'node:os';
import path from 'node:path';
import ts from 'typescript';

/*
 * The program and its tests' helpers as JavaScript in a folder of their own. A test that starts the same TypeScript program
 * dozens of times spends most of its time on loading it; this halves that.
 */

const project = path.resolve(import.meta.dirname, '../..');
const FOLDERS = [
  ...['shared', 'src/light', 'src/frame', 'src/judge', 'src/shoot', 'src/wrap'],
  ...['adapters', 'tests/shoot', 'tests/faults'],
];

export type Transpiled = {folder: string; remove(): Promise<void>};

export const transpileProgram = async (): Promise<Transpiled> => {
  const folder = await mkdtemp(path.join(tmpdir(), 'darkset-transpiled-'));
  const compilerOptions = {
    module: ts.ModuleKind.ESNext,
    target: ts.ScriptTarget.ES2022,
    jsx: ts.JsxEmit.ReactJSX,
    verbatimModuleSyntax: true,
  };
  for (const part of FOLDERS) {
    const entries = await readdir(path.join(project, part), {recursive: true, withFileTypes: true});
    for (const entry of entries.filter(({name}) => /\.tsx?$/.test(name) && !name.includes('.test.'))) {
      const from = path.join(entry.parentPath, entry.name);
      const to = path.join(folder, path.relative(project, from)).replace(/\.tsx?$/, '.js');
      await mkdir(path.dirname(to), {recursive: true});
      const {outputText} = ts.transpileModule(await readFile(from, 'utf8'), {compilerOptions, fileName: from});
      await writeFile(to, outputText);
    }
  }
  for (const shared of ['node_modules', 'package.json']) {
    await symlink(path.join(project, shared), path.join(folder, shared));
  }
  return {folder, remove: () => rm(folder, {recursive: true, force: true})};
};
