import {plainText} from '../../shared/plain-text.js';
import {verifyShoot} from '../wrap/verify-shoot.js';

/**
 * Checks a shoot or a hand-off and says what is wrong.
 * @returns exit code: 0 when everything is as it was written, else 1
 * @throws ShootFault where there is nothing to check
 */
export const verify = async (folder: string, options: {json?: boolean}): Promise<0 | 1> => {
  const found = await verifyShoot(folder);
  const wrong = found.problems.length;
  if (options.json) {
    process.stdout.write(`${JSON.stringify({schema: 1, ok: wrong === 0, ...found}, null, 2)}\n`);
  } else {
    const whole = `${found.files} ${found.files === 1 ? 'file' : 'files'} checked`;
    const lines = [
      wrong === 0 ? `${whole}; everything is as it was written.` : `${whole}; ${wrong} wrong:`,
      ...found.problems.map(problem => `  ${problem}`),
      ...found.notes.map(note => `  worth knowing: ${note}`),
    ];
    process.stdout.write(`${lines.map(plainText).join('\n')}\n`);
  }
  return wrong === 0 ? 0 : 1;
};
