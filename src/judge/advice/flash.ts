import type {Check} from '../../../shared/reading.js';
import {printPower} from '../../light/power.js';
import {printStops} from '../../light/words.js';
import {expectedLightEv, isReshaped} from '../expected.js';
import {
  type Candidate,
  changePower,
  effect,
  faceSide,
  type Ground,
  lightOf,
  troubled,
  upToThird,
  worthOf,
} from './candidate.js';

const didNotFire = (check: Check, id: string): Candidate => ({
  do: `wake light ${id} and fire it once by hand before the next attempt`,
  because: `${id} did not fire: its batteries, its sleep timer, or the button in the dark`,
  worth: worthOf(check, 60),
});

const strayed = (ground: Ground, check: Check, id: string, ev: number): Candidate => {
  if (isReshaped(ground.input, id)) {
    return {
      do: `take the plate of light ${id} again when ${id} is where it shall stay`,
      because: `${id} stands or points otherwise than on its plate, so its strength can't be told`,
      worth: worthOf(check, 15),
    };
  }
  const light = lightOf(ground, id);
  const stray = ev - expectedLightEv(ground.input, id);
  if (Math.abs(stray - 1) < 0.25) {
    const once = light && light.pops > 1 ? `fire ${id} ${light.pops} times, no more` : `fire ${id} once`;
    const dial = light
      ? `, and see that its dial says ${printPower(light.power)}`
      : ', and see that its dial was not turned';
    return {do: `${once}${dial}`, because: `${id} gave twice its light`, worth: worthOf(check, 40)};
  }
  const amount = `${printStops(stray)} ${stray > 0 ? 'too much' : 'too little'}`;
  if (light) {
    return {
      do: `see that ${id} stands at ${printPower(light.power)}, ${Number(light.distanceMetres.toFixed(2))} m from the face, its gel and snoot on`,
      because: `${id} gave ${amount} against its plate; setting it right: ${effect(faceSide(light), -stray)}`,
      worth: worthOf(check, 35),
    };
  }
  return {
    do: changePower(id, null, -upToThird(stray)),
    because: `${id} gave ${amount} against its plate`,
    worth: worthOf(check, 35),
  };
};

/** Advice on flashes that did not fire, fired twice, or came out with another strength than on their plate. */
export const flashAdvice = (ground: Ground): Candidate[] =>
  ground.input.measurement.lights.flatMap(({id, fired, ev}): Candidate[] => {
    const check = troubled(ground, `flash ${id}`);
    if (!check) return [];
    if (fired && lightOf(ground, id)?.on === false) {
      return [{do: `switch ${id} off`, because: `${id} fired, though the rig has it off`, worth: worthOf(check, 30)}];
    }
    if (!fired) return [didNotFire(check, id)];
    return ev === null ? [] : [strayed(ground, check, id, ev)];
  });
