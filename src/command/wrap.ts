import path from 'node:path';
import {plainText} from '../../shared/plain-text.js';
import {openShoot, readShoot} from '../shoot/open-shoot.js';
import {wrapUp} from '../wrap/wrap-up.js';
import {programName} from './program.js';

export type WrapOptions = {to?: string; maybe?: boolean; creator?: string; names?: string; json?: boolean};

/**
 * Hands off a shoot's kept frames and writes so into its journal.
 * @throws ShootFault, WrapFault: one sentence each
 */
export const wrap = async (shootFolder: string, options: WrapOptions): Promise<void> => {
  // Opening makes a shoot where there is none; handing off must not.
  await readShoot(shootFolder);
  const open = await openShoot(shootFolder, {program: programName});
  const stop = new AbortController();
  const onInterrupt = (): void => stop.abort();
  const interrupts = ['SIGINT', 'SIGTERM'] as const;
  for (const interrupt of interrupts) process.once(interrupt, onInterrupt);
  const showProgress = !options.json && process.stderr.isTTY;
  try {
    const {folder, files} = await wrapUp({
      shoot: open.shoot(),
      shootFolder: open.folder,
      destination: options.to === undefined ? null : path.resolve(options.to),
      maybeToo: options.maybe ?? false,
      ...(options.creator !== undefined && {creator: options.creator}),
      ...(options.names !== undefined && {pattern: options.names}),
      progress(done, of, file) {
        if (showProgress)
          process.stderr.write(`\r\u001b[K${done} of ${of}  ${plainText(file)}${done === of ? '\n' : ''}`);
      },
      signal: stop.signal,
    });
    await open.append({kind: 'wrapped', folder, files});
    process.stdout.write(
      options.json
        ? `${JSON.stringify({folder, files}, null, 2)}\n`
        : `${files.length} ${files.length === 1 ? 'file' : 'files'} handed off, checked after writing: ${plainText(folder)}\n`,
    );
  } finally {
    for (const interrupt of interrupts) process.off(interrupt, onInterrupt);
    await open.close();
  }
};
