import {plainText} from '../../shared/plain-text.js';
import {attemptSummary} from '../judge/compare.js';
import {printSettings} from '../light/words.js';
import {readShoot} from '../shoot/open-shoot.js';
import type {Attempt} from '../shoot/state.js';
import {attemptsCsv, attemptsJson} from '../wrap/export-attempts.js';
import {summariseShoot} from '../wrap/look-back.js';

const lineOf = (attempt: Attempt): string[] => {
  const verdict = attempt.reading ? attemptSummary(attempt.reading.checks) : (attempt.trouble ?? attempt.stage);
  return [
    `${String(attempt.number).padStart(4)}  ${printSettings(attempt.exposure).padEnd(22)} ${(attempt.mark ?? '').padEnd(6)} ${verdict}`,
    ...attempt.changes.map(change => `      changed: ${change}`),
    ...attempt.notes.map(note => `      note: ${note}`),
  ];
};

/**
 * Prints every attempt of a shoot: as text, as JSON or as CSV with units in the column names.
 * @throws ShootFault where there is no shoot
 */
export const attempts = async (folder: string, options: {json?: boolean; csv?: boolean}): Promise<void> => {
  const {shoot, damagedLines} = await readShoot(folder);
  for (const line of damagedLines)
    process.stderr.write(`darkset: Line ${line} of the journal is damaged and was left out.\n`);
  if (options.json) process.stdout.write(attemptsJson(shoot));
  else if (options.csv) process.stdout.write(attemptsCsv(shoot));
  else {
    const lines = [
      `${shoot.name}: ${shoot.attempts.length} ${shoot.attempts.length === 1 ? 'attempt' : 'attempts'}`,
      ...shoot.attempts.flatMap(lineOf),
      ...(shoot.attempts.length > 1 ? ['', ...summariseShoot(shoot)] : []),
    ];
    process.stdout.write(`${lines.map(plainText).join('\n')}\n`);
  }
};
