import {plain} from '../plain.js';

const methods = ['log', 'info', 'warn', 'error', 'debug'] as const;
/** More than this is a fault that repeats itself. */
const KEPT = 20;

/**
 * Keeps whatever a library says on the console away from the screens: it could light a dark room or carry an escape
 * sequence.
 * @returns gives the console back, and what was said meanwhile, made plain
 */
export const quietConsole = (): (() => string[]) => {
  const said: string[] = [];
  const originals = methods.map(method => [method, console[method]] as const);
  const keep = (...parts: unknown[]): void => {
    if (said.length < KEPT) said.push(plain(parts.map(String).join(' ')));
  };
  for (const method of methods) console[method] = keep;
  return () => {
    for (const [method, original] of originals) console[method] = original;
    return said;
  };
};
