import {mkdtempSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import {pathToFileURL} from 'node:url';
import {build} from 'rolldown';

/*
 * The frame room as it stands in the working tree, bundled as the shipped program is. What tsx makes of a source keeps the
 * name of every function by a call, which slows hot code: times from there would be of tsx, not of the program.
 */

const source = path.resolve(import.meta.dirname, '../../src/frame');
const entries = ['measure', 'plates', 'open-measurer', 'worker'];

/** Native, so not bundled. The bundle lies where no package is found by name: this one is named by its place. */
const native = 'sharp';

export type BundledFrame = Pick<typeof import('../../src/frame/measure.js'), 'measureFrame'> &
  Pick<typeof import('../../src/frame/plates.js'), 'loadPlates'> &
  Pick<typeof import('../../src/frame/open-measurer.js'), 'openMeasurer'> & {
    /** Where the bundle lies, with room for what a bench makes; gone when the process ends, however it does. */
    folder: string;
  };

export const bundleFrame = async (): Promise<BundledFrame> => {
  const folder = mkdtempSync(path.join(tmpdir(), 'darkset-bench-'));
  process.once('exit', () => rmSync(folder, {recursive: true, force: true}));
  writeFileSync(path.join(folder, 'package.json'), '{"type": "module"}');
  await build({
    input: Object.fromEntries(entries.map(name => [name, path.join(source, `${name}.ts`)])),
    platform: 'node',
    plugins: [
      {
        name: 'native-by-place',
        resolveId: id => (id === native ? {id: import.meta.resolve(native), external: true} : null),
      },
    ],
    // All in one folder, since the measurer looks for the thread's file beside its own.
    output: {
      dir: folder,
      format: 'esm',
      entryFileNames: '[name].js',
      chunkFileNames: '[name].js',
      minify: {compress: true, mangle: {keepNames: true}, codegen: {removeWhitespace: true}},
    },
    checks: {pluginTimings: false},
  });
  const bundled = (name: string): Promise<unknown> => import(pathToFileURL(path.join(folder, `${name}.js`)).href);
  const parts = await Promise.all(['measure', 'plates', 'open-measurer'].map(bundled));
  return Object.assign({folder}, ...parts) as BundledFrame;
};
