import {openSync, writeSync} from 'node:fs';
import path from 'node:path';
import {kinds} from './kinds.js';
import {runKind} from './run-kind.js';

/*
 * One kind of input in a process of its own: a crash of a decoder ends only this. Arguments: folder, kind, seed, from, to.
 * The number of the input under way stands in the file "now"; the report is the last line written.
 */

const [, , folder = '', name = '', seed = '0', from = '0', to = '0'] = process.argv;
const kind = kinds.find(each => each.name === name);
if (!kind) throw new Error(`There is no kind ${name}.`);
const now = openSync(path.join(folder, 'now'), 'w');
const report = await runKind(kind, {seed: Number(seed), from: Number(from), to: Number(to), folder}, index => {
  writeSync(now, String(index).padEnd(12), 0);
});
writeSync(1, `${JSON.stringify(report)}\n`);
process.exit(0);
