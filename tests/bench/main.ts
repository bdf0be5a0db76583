import {spawnSync} from 'node:child_process';
import {readdirSync} from 'node:fs';
import path from 'node:path';

/*
 * npm run bench [NAME…]: every measurement of speed, as ratios within one run, one after another so that none disturbs
 * the next. The long ones (thousands of kills, inputs, frames and attempts) run only when named.
 */

const tests = path.resolve(import.meta.dirname, '..');
const long = ['bench-kills', 'fuzz-bench', 'long-evening-bench', 'memory-bench'];

const benches = readdirSync(tests, {recursive: true, encoding: 'utf8'})
  .filter(file => /(?:^|\/)(?:bench|bench-[a-z-]+|[a-z-]+-bench)\.ts$/.test(file))
  .map(file => ({
    file,
    name: path.basename(file, '.ts') === 'bench' ? path.dirname(file) : path.basename(file, '.ts'),
  }));

const wanted = process.argv.slice(2);
const unknown = wanted.filter(name => !benches.some(bench => bench.name === name));
if (unknown.length > 0) {
  console.error(`No bench is called ${unknown.join(', ')}; there are ${benches.map(({name}) => name).join(', ')}.`);
  process.exit(2);
}

let failed = false;
for (const {file, name} of benches) {
  if (wanted.length > 0 ? !wanted.includes(name) : long.includes(name)) continue;
  console.log(`\n== ${name} (tests/${file})`);
  const {status} = spawnSync(process.execPath, ['--expose-gc', '--import', 'tsx', path.join(tests, file)], {
    stdio: 'inherit',
  });
  if (status !== 0) {
    console.log(`${name} ended with ${status}`);
    failed = true;
  }
}
process.exitCode = failed ? 1 : 0;
