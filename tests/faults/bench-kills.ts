import {temporaryFolder} from '../shoot/fakes.js';
import {killRun, printReport} from './kill-run.js';

/*
 * A long run of kills: npx tsx tests/faults/bench-kills.ts [kills] [seed]. A fresh shoot every hundred kills.
 */
const [, , wanted = '1000', first = String(Math.floor(Math.random() * 1e9))] = process.argv;
let lost = 0;
for (let done = 0, seed = Number(first); done < Number(wanted); done += 100, seed += 1) {
  const {folder, remove} = await temporaryFolder();
  const kills = Math.min(100, Number(wanted) - done);
  const report = await killRun(folder, done % 500 === 400 ? 'studio' : 'card', kills, seed);
  console.log(printReport(report));
  lost += report.wrong.length;
  if (report.wrong.length === 0) await remove();
  else console.log(`  kept for a look: ${folder}`);
}
process.exitCode = lost === 0 ? 0 : 1;
