import type {Check} from '../../../shared/reading.js';
import type {FlashLight} from '../../../shared/rig.js';
import {printPower} from '../../light/power.js';
import {printChange, printStops} from '../../light/words.js';
import type {JudgeInput} from '../contract.js';

/** One thing to change, with how much it is worth doing first. */
export type Candidate = {do: string; because: string; worth: number};

/** What advice is worked out from. */
export type Ground = {input: JudgeInput; checks: Check[]};

export const checkOf = ({checks}: Ground, id: string): Check | undefined => checks.find(check => check.id === id);

/** The check when it asks for a change, else undefined. */
export const troubled = (ground: Ground, id: string): Check | undefined => {
  const check = checkOf(ground, id);
  return check && check.state !== 'ok' ? check : undefined;
};

const severity = {ok: 0, watch: 40, fail: 100} as const;

/** How much an answer to this check is worth: a failed check before one to watch, then by the weight of the matter. */
export const worthOf = (check: Check, weight: number): number => severity[check.state] + weight;

export const lightOf = ({input}: Ground, id: string): FlashLight | null =>
  input.rig?.lights.find(light => light.id === id) ?? null;

/** Which side of the picture's face a light models: "face left", "face right", or "face" from straight ahead. */
export const faceSide = (light: FlashLight): string => {
  const sideways = Math.sin((light.angleDegrees * Math.PI) / 180);
  if (Math.abs(sideways) < 0.2) return 'face';
  return sideways < 0 ? 'face left' : 'face right';
};

/**
 * "lower B one stop to 1/64", "raise A two thirds of a stop to 1/4": by power where the rig knows the light, else by the
 * amount alone.
 */
export const changePower = (id: string, light: FlashLight | null, stops: number): string => {
  const verb = stops < 0 ? 'lower' : 'raise';
  const to = light ? ` to ${printPower(light.power * 2 ** stops)}` : '';
  return `${verb} ${id} ${printStops(stops)}${to}`;
};

/** Rounds stops up (away from zero) to a third, the step of a flash's dial. */
export const upToThird = (stops: number): number => (Math.sign(stops) * Math.ceil(Math.abs(stops) * 3 - 0.05)) / 3;

/** "face right −1.0 EV": what a change does to a level. */
export const effect = (what: string, changeEv: number): string => `${what} ${printChange(changeEv)}`;

/** Nearest to the face that a light is ever advised to stand, metres: nearer, it is in the picture and in the eyes. */
export const NEAREST_METRES = 0.6;
