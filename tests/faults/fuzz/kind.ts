import {unfitForTerminal} from './hostile.js';
import type {Random} from './random.js';

/** One kind of hostile input and what takes it. */
export type FuzzKind = {
  name: string;
  /** How many of a hundred inputs are of this kind. */
  share: number;
  /** Gets ready in a folder of its own, which nothing may leave. */
  open(folder: string): Promise<Trier>;
};

export type Trier = {
  /** Makes one input and feeds it in. @throws Finding */
  try(random: Random): Promise<void>;
  close?(): Promise<void>;
};

/** Something that hostile input could do and must not. */
export class Finding extends Error {
  override name = 'Finding';
}

/** Text that would reach a terminal: one line, or a whole printed text. @throws Finding */
export const mustBeFit = (what: string, text: string, lines: 'one' | 'many' = 'one'): void => {
  const why = unfitForTerminal(text, lines);
  if (why) throw new Finding(`${what} would bring to the terminal ${why}`);
};

const LONGEST_SENTENCE = 1200;

/**
 * Runs work on hostile input. It may give an answer, or a fault that is one sentence for a person; anything else is found.
 * @returns the answer, or null
 * @throws Finding
 */
export const survives = async <Answer>(what: string, work: () => Answer | Promise<Answer>): Promise<Answer | null> => {
  try {
    return await work();
  } catch (error) {
    if (error instanceof Finding) throw error;
    if (!(error instanceof Error) || !error.name.endsWith('Fault')) {
      const told = error instanceof Error ? (error.stack ?? error.message) : String(error);
      throw new Finding(`${what} failed with no fault for a person: ${told.slice(0, 600)}`);
    }
    mustBeFit(`${what}, ${error.name}`, error.message);
    if (error.message.length > LONGEST_SENTENCE)
      throw new Finding(`${what}: a fault of ${error.message.length} characters: ${error.message.slice(0, 200)}`);
    if (!/[.…]$/.test(error.message)) throw new Finding(`${what}: no sentence: ${error.message.slice(0, 300)}`);
    return null;
  }
};
