import type {Check} from '../../../shared/reading.js';
import {nearestNominal, nominalShutters} from '../../light/nominal.js';
import {printChange, printKelvin, printLevel, printSeconds} from '../../light/words.js';
import {riseOf} from '../checks/room.js';
import {limitOf, limitRules} from '../limits.js';
import {sideForBoth} from '../sides.js';
import {type Candidate, type Ground, troubled, worthOf} from './candidate.js';

/** Shortest exposure in which a trail round the head can still be painted, seconds: our own rule, from memory. */
const LEAST_PAINTING_SECONDS = 3;

/** What kind of light a colour temperature hints at. */
const likely = (kelvin: number): string => {
  if (kelvin < 3300) return 'a lamp or a pilot light';
  if (kelvin < 4800) return 'a lamp of another room or a dimmed display';
  return 'daylight, a screen or a display';
};

const findLeak = (ground: Ground, check: Check): Candidate | null => {
  const {side, kelvin, levelEv} = ground.input.measurement.ambient;
  const riseEv = riseOf(ground.input);
  if (riseEv === null || levelEv === null || riseEv < 0.5) return null;
  const colour = kelvin === null ? '' : `, about ${printKelvin(kelvin)}: ${likely(kelvin)}`;
  const where = side === null || side === 'even' ? 'in the room' : `from ${sideForBoth(side)}`;
  return {
    do: `look for a light that was not there for the dark plate, ${where}`,
    because: `the room rose ${printChange(riseEv)} over its plate${colour}; without it the room is at ${printLevel(levelEv - riseEv)}`,
    worth: worthOf(check, 50),
  };
};

const shorter = (ground: Ground, check: Check): Candidate | null => {
  const {input} = ground;
  const {levelEv} = input.measurement.ambient;
  const exposure = input.exposure ?? input.measurement.frame.exposure;
  const fine = limitOf(input.limits, 'room level') - limitRules['room level'].watchBand;
  if (levelEv === null || exposure === null || levelEv <= fine) return null;
  const wanted = Math.max(exposure.shutterSeconds * 2 ** (fine - levelEv), LEAST_PAINTING_SECONDS);
  const seconds = wanted > 30 ? Math.round(wanted) : nearestNominal(nominalShutters(), wanted).marked;
  if (seconds >= exposure.shutterSeconds) return null;
  const changeEv = Math.log2(seconds / exposure.shutterSeconds);
  return {
    do: `expose ${printSeconds(seconds)} instead of ${printSeconds(exposure.shutterSeconds)}`,
    because: `the room falls to ${printLevel(levelEv + changeEv)}; flashes and trail stay as they are, with less time to paint`,
    worth: worthOf(check, 27),
  };
};

/** Advice on the room's own light: find what was added, or give it less time. */
export const roomAdvice = (ground: Ground): Candidate[] => {
  const check = troubled(ground, 'room');
  if (!check) return [];
  const ways = [findLeak(ground, check), shorter(ground, check)].filter(way => way !== null);
  if (ways.length > 0) return ways;
  return [
    {
      do: 'make the room darker: cover windows, displays and pilot lights',
      because: `the room is at ${check.say}`,
      worth: worthOf(check, 27),
    },
  ];
};
