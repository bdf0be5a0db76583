import {describe, expect, it} from 'vitest';
import {stageOf} from '../../adapters/studio/scene/stage.js';
import type {FlashLight, Rig} from '../../shared/rig.js';
import {patchChangeEv} from '../../src/light/patch.js';
import {powerAtDistance} from '../../src/light/power.js';
import {patchEv, shotOf, steadyRoom} from '../adapters/studio/scene.js';
import {testRig} from './test-rig.js';

/*
 * The simulated room renders light on its walls ray by ray; what is foretold here from the rig's numbers must come out
 * there. Nobody stands on the mark, so nothing is shaded.
 */

/** From nearly straight ahead, so that its light lies on the wall that the camera sees. */
const light: FlashLight = {
  ...testRig.lights[0]!,
  power: 1,
  gel: null,
  snoot: {name: 'wide', sourceMillimetres: 40, exitMillimetres: 90, tubeMillimetres: 180, lossStops: 0},
  distanceMetres: 1.4,
  angleDegrees: -25,
  heightMetres: 1.8,
};
const rig: Rig = {...testRig, lights: [light]};
const room = {...steadyRoom, lightsOffEv100: -30, leak: null};
const stage = stageOf(rig, 360, 240, room, 5);

const wallLevel = (of: FlashLight, at: {x: number; y: number}): number => {
  const arranged: Rig = {...rig, lights: [of]};
  return patchEv(stage.expose(shotOf({rig: arranged, firing: ['A'], sitter: false})), at.x, at.y);
};

const places = [
  {x: 0.5, y: 0.45},
  {x: 0.75, y: 0.5},
  {x: 0.9, y: 0.35},
];

describe('light on the wall, foretold and rendered', () => {
  it.each<[string, Partial<FlashLight>]>([
    ['half the power', {power: 0.5}],
    ['three pops', {pops: 3}],
    ['nearer at the same light on the face', {distanceMetres: 0.9, power: powerAtDistance(1, 1.4, 0.9)}],
    ['farther', {distanceMetres: 1.7}],
    ['turned to the left of the picture', {aimOffDegrees: -6}],
    ['turned to the right', {aimOffDegrees: 5}],
    ['round towards the camera', {angleDegrees: -15}],
    ['lower', {heightMetres: 1.5}],
    ['without its snoot’s loss', {snoot: {...light.snoot!, lossStops: 1}}],
  ])('agree within a third of a stop: %s', (_, change) => {
    const after = {...light, ...change};
    for (const at of places) {
      const foretold = patchChangeEv(rig, light, after, at)!;
      const rendered = wallLevel(after, at) - wallLevel(light, at);
      if (foretold < -4) expect(rendered).toBeLessThan(-2);
      else expect(Math.abs(rendered - foretold)).toBeLessThan(1 / 3);
    }
  });
});
