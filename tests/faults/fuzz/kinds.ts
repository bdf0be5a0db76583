import {cameraKinds} from './camera-kinds.js';
import type {FuzzKind} from './kind.js';
import {pictureKinds} from './picture-kinds.js';
import {shootKinds} from './shoot-kinds.js';
import {textKinds} from './text-kinds.js';

/** Every kind of hostile input. */
export const kinds: readonly FuzzKind[] = [...pictureKinds, ...textKinds, ...shootKinds, ...cameraKinds];

/** How many of so many inputs each kind gets. */
export const inputsOf = (total: number): Map<string, number> => {
  const shares = kinds.reduce((sum, {share}) => sum + share, 0);
  return new Map(kinds.map(({name, share}) => [name, Math.max(1, Math.ceil((total * share) / shares))]));
};

/** The seed of one input: the run's, the kind's and its number, mixed. */
export const seedOf = (seed: number, kind: string, index: number): number => {
  let mixed = seed >>> 0;
  for (const letter of `${kind} ${index}`) mixed = Math.imul(mixed ^ letter.codePointAt(0)!, 16_777_619) >>> 0;
  return mixed;
};
