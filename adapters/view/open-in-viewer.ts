import {stat} from 'node:fs/promises';
import path from 'node:path';
import {execa} from 'execa';
import {plainText} from '../../shared/plain-text.js';
import {type Host, quietly, thisHost} from '../programs.js';

/** Kinds of file that a viewer shows. A system's opener would start a program or script just as gladly. */
const viewable = ['.jpg', '.jpeg', '.png', '.tif', '.tiff', '.dng', '.svg', '.html', '.pdf'];
const PATIENCE_MS = 3000;

/**
 * Opens a picture or page in the system's own viewer. Never rejects.
 * @param file an absolute path
 * @returns null when it was handed over, else one sentence for a person
 */
export const openInViewer = async (file: string, host: Host = thisHost()): Promise<string | null> => {
  const name = plainText(path.basename(file));
  const place = plainText(file);
  if (!path.isAbsolute(file)) return `${name} could not be opened: its place is not known.`;
  if (!viewable.includes(path.extname(file).toLowerCase())) return `${name} is no picture or page that a viewer shows.`;
  const isFile = await stat(file).then(
    found => found.isFile(),
    () => false,
  );
  if (!isFile) return `${name} is not there (looked for ${place}).`;
  const opener = openerOf(host);
  if (!opener) return `There is no desktop here to open ${name} in; it lies at ${place}.`;

  const child = execa(opener, [path.normalize(file)], {
    ...quietly(host),
    stdin: 'ignore',
    stdout: 'ignore',
    stderr: 'ignore',
    cleanup: false,
    detached: true,
  });
  child.unref();
  // Some openers stay for as long as the viewer is open: one that still runs after a while has done its part.
  const stillRuns = new Promise<null>(resolve => {
    setTimeout(() => resolve(null), PATIENCE_MS).unref();
  });
  const ended = await Promise.race([child, stillRuns]);
  // explorer.exe gives 1 whatever it did.
  const refused = ended?.failed && !(host.platform === 'win32' && ended.exitCode === 1);
  return refused ? `${opener} could not open ${name}; it lies at ${place}.` : null;
};

/** On a desktopless machine xdg-open would start a browser inside our own terminal: there we open nothing. */
const openerOf = ({platform, env}: Host): string | null => {
  if (platform === 'darwin') return 'open';
  if (platform === 'win32') return 'explorer.exe';
  return env.DISPLAY || env.WAYLAND_DISPLAY ? 'xdg-open' : null;
};
