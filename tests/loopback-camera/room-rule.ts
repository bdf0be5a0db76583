import {usualCueSheet} from '../../shared/cues.js';
import {demoRig} from '../../shared/rig.js';
import type {Arrangement} from '../../shared/room.js';

/*
 * A person who tries the program on the loopback camera can't light the room for it. So the room follows a rule: the
 * first four long exposures are the plates in their order, every later one is an attempt. A word on the standard input
 * changes what the next exposures see.
 */

const firing = (ids: 'all' | string[]): string[] =>
  demoRig.lights.filter(light => light.on && (ids === 'all' || ids.includes(light.id))).map(light => light.id);

/** A shutter that is held open has no planned end; the sitter then works through a sheet of this length. */
const HELD_OPEN_FROM = 600;
const HELD_OPEN_SECONDS = 45;

const scene = (ids: 'all' | string[], sitter: boolean, painting: boolean, seconds: number): Arrangement => ({
  rig: demoRig,
  firing: firing(ids),
  roomLights: false,
  sitter,
  painting,
  cues: usualCueSheet(seconds >= HELD_OPEN_FROM ? HELD_OPEN_SECONDS : seconds),
});

export type SceneWord = 'dark' | 'a' | 'b' | 'sitter' | 'paint';

/** What each word lets the room be. */
export const scenes: Record<SceneWord, (seconds: number) => Arrangement> = {
  dark: seconds => scene([], false, false, seconds),
  a: seconds => scene(['A'], true, false, seconds),
  b: seconds => scene(['B'], true, false, seconds),
  sitter: seconds => scene('all', true, false, seconds),
  paint: seconds => scene('all', true, true, seconds),
};

const platesFirst: readonly SceneWord[] = ['dark', 'a', 'b', 'sitter'];

/** Shorter exposures are probes of the dark room; they don't count. */
const PROBE_SECONDS = 1;

const words: Record<string, SceneWord> = {
  d: 'dark',
  dark: 'dark',
  a: 'a',
  b: 'b',
  s: 'sitter',
  sitter: 'sitter',
  p: 'paint',
  paint: 'paint',
};

export const explanation = [
  'The room: the first exposures of a second or more are the plates in their order (dark, light A, light B, sitter),',
  'every later one is an attempt with all flashes and a painted trail. Shorter ones see the dark room, as a probe should.',
  'Write d (dark), a, b, s (sitter) or p (paint) and Enter: the next exposures see that, until you write r for the rule.',
].join('\n');

/** Follows the rule, or the last word. */
export const createRoomRule = () => {
  let taken = 0;
  let told: SceneWord | null = null;
  return {
    /** @returns what was understood, for the person; null where nothing was */
    hear(line: string): string | null {
      const word = line.trim().toLowerCase();
      if (word === 'r' || word === 'rule') {
        told = null;
        return 'The rule holds again.';
      }
      const scene = words[word];
      if (scene === undefined) return null;
      told = scene;
      return `The next exposures see: ${scene}.`;
    },
    /** The scene for an exposure of this length, seconds. */
    next(seconds: number): {word: SceneWord; arrangement: Arrangement} {
      const probe = seconds < PROBE_SECONDS;
      const word: SceneWord = told ?? (probe ? 'dark' : (platesFirst[taken] ?? 'paint'));
      if (!probe && told === null) taken += 1;
      return {word, arrangement: scenes[word](seconds)};
    },
  };
};
