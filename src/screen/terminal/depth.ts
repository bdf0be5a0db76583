/** How many colours the terminal has: none at all, 16, 256, or all. */
export type Depth = 'none' | 'sixteen' | 'many' | 'all';

type Environment = Readonly<Record<string, string | undefined>>;

/**
 * The colours that a terminal takes, as its environment tells.
 * NO_COLOR (https://no-color.org): any text that isn't empty means none.
 */
export const colourDepth = (environment: Environment): Depth => {
  const term = environment.TERM ?? '';
  if ((environment.NO_COLOR ?? '') !== '' || environment.FORCE_COLOR === '0' || term === 'dumb' || term === '') {
    return 'none';
  }
  if (/^(truecolor|24bit)$/.test(environment.COLORTERM ?? '')) return 'all';
  if (/direct/.test(term)) return 'all';
  if (/256/.test(term)) return 'many';
  return /^(screen|tmux|xterm|vt\d|rxvt|linux|cygwin|ansi)|color/.test(term) ? 'sixteen' : 'none';
};
