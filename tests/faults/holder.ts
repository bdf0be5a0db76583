import {openShoot} from '../../src/shoot/open-shoot.js';

/*
 * A program that opens a shoot, says so, notes something at every line it is sent and closes the shoot at the end of its
 * input. Argument: the folder.
 */
const open = await openShoot(process.argv[2] ?? '', {program: 'darkset test'}).catch((error: Error) => error);
if (open instanceof Error) {
  process.stdout.write(`${JSON.stringify({refused: open.message, name: open.name})}\n`);
  process.exit(1);
}
process.stdout.write(`${JSON.stringify({opened: process.pid, findings: open.findings})}\n`);
for await (const _ of process.stdin) await open.append({kind: 'noted', attempt: 1, text: `from ${process.pid}`});
await open.close();
