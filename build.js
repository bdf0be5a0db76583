import {readdir, readFile, rm, stat, writeFile} from 'node:fs/promises';
import path from 'node:path';
import {build} from 'rolldown';

/*
 * The built program: few files instead of a thousand, because finding and reading each one would be most of the time from
 * the command line to the first screen. Threads and child processes are started by their file, so each stays where its
 * source is; everything else is in chunks/.
 */

const root = import.meta.dirname;
const dist = path.join(root, 'dist');

const entries = ['src/command/main', 'src/frame/worker', 'adapters/studio/worker', 'adapters/gphoto2/child/main'];

/** Native code, found by its own loader; and a debugging aid of Ink that is installed by whoever wants it. */
const external = ['sharp', 'koffi', 'react-devtools-core'];

const placeholder = /__URL_OF_SOURCE__\("([^"]+)"\)/g;

/** Lets `import.meta.url` go on to name the place where the module itself would stand, not its chunk's. */
const ownUrl = {
  name: 'own-url',
  transform(code, id) {
    if (!id.startsWith(root) || id.includes('node_modules') || !code.includes('import.meta.url')) return null;
    const built = path.relative(root, id).replace(/\.tsx?$/, '.js');
    return code.replaceAll('import.meta.url', `__URL_OF_SOURCE__(${JSON.stringify(built)})`);
  },
  renderChunk(code, chunk) {
    if (!code.includes('__URL_OF_SOURCE__')) return null;
    return code.replace(placeholder, (_, built) => {
      const from = path.posix.relative(path.posix.dirname(chunk.fileName), built);
      return `new URL(${JSON.stringify(from.startsWith('.') ? from : `./${from}`)}, import.meta.url).href`;
    });
  },
};

/** Name, version and license text of the package that holds a file. */
const packageOf = async file => {
  for (let folder = path.dirname(file); folder !== root; folder = path.dirname(folder)) {
    const text = await readFile(path.join(folder, 'package.json'), 'utf8').catch(() => null);
    const {name, version, license} = text ? JSON.parse(text) : {};
    if (!name) continue;
    const found = (await readdir(folder)).find(entry => /^licen[cs]e/i.test(entry));
    const terms = found ? await readFile(path.join(folder, found), 'utf8') : `License: ${license}`;
    return [`${name} ${version}`, terms.trim()];
  }
  throw new Error(`${file} belongs to no package.`);
};

/** Writes whose code is in the bundle, and on which terms; takes away what an earlier build left. */
const finish = {
  name: 'finish',
  async writeBundle(_, bundle) {
    const modules = Object.values(bundle).flatMap(chunk => chunk.moduleIds ?? []);
    const foreign = modules.filter(id => path.isAbsolute(id) && id.includes('node_modules'));
    const packages = new Map(await Promise.all(foreign.map(packageOf)));
    const notices = [...packages].sort().map(([name, terms]) => `${name}\n\n${terms}\n`);
    await writeFile(path.join(dist, 'LICENSES.txt'), notices.join(`\n${'-'.repeat(80)}\n\n`));
    const wanted = new Set([...Object.keys(bundle), 'LICENSES.txt']);
    for (const entry of await readdir(dist, {recursive: true})) {
      const file = path.join(dist, entry);
      const isFile = (await stat(file).catch(() => null))?.isFile();
      if (isFile && !wanted.has(entry.split(path.sep).join('/'))) await rm(file);
    }
  },
};

await build({
  input: Object.fromEntries(entries.map(entry => [entry, `./${entry}.ts`])),
  platform: 'node',
  external: id => external.some(name => id === name || id.startsWith(`${name}/`)),
  // Nothing is fetched; where fetch exists, a library reads its own data URL by it and loads Node's HTTP client for that.
  transform: {define: {'process.env.NODE_ENV': '"production"', fetch: 'undefined'}},
  plugins: [ownUrl, finish],
  output: {
    dir: 'dist',
    format: 'esm',
    entryFileNames: '[name].js',
    chunkFileNames: 'chunks/[name].js',
    // A program that runs while it is built anew still finds its later parts by name.
    minifyInternalExports: false,
    minify: {compress: true, mangle: {keepNames: true}, codegen: {removeWhitespace: true}},
  },
  checks: {pluginTimings: false},
});
