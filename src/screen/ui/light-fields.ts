import {demoRig, type FlashLight, type Gel, type Rig, type Snoot} from '../../../shared/rig.js';
import {usualGels} from '../../light/gel.js';
import {nearestPower, powerSteps, printPower} from '../../light/power.js';
import {printDistance, printNumber} from '../../light/words.js';
import {plain} from '../plain.js';
import {further, nextDistance, type PlanField, stepped, withLight} from './plan-field.js';

const risingPowers = [...powerSteps].reverse();

const nextGel = (gel: Gel | null, steps: number): Gel | null => {
  const own = gel && !usualGels.some(usual => usual.name === gel.name) ? [gel] : [];
  const choices: (Gel | null)[] = [null, ...own, ...usualGels];
  const at = choices.findIndex(choice => choice?.name === gel?.name);
  return choices[(((at + steps) % choices.length) + choices.length) % choices.length]!;
};

/** The snoot that a bare light gets: its own of an earlier rig, the newest first, or a common one. */
const snootFor = (id: string, earlier: readonly Rig[]): Snoot =>
  earlier.flatMap(rig => rig.lights.find(light => light.id === id)?.snoot ?? [])[0] ?? demoRig.lights[0]!.snoot!;

/** Angle in −180° (not reached) to 180°, all the way round. */
const nextAngle = (degrees: number, steps: number): number => {
  const turned = degrees + steps * 2;
  return 180 - ((((180 - turned) % 360) + 360) % 360);
};

const millimetres = (value: number): string => `${printNumber(value, Number.isInteger(value) ? 0 : 1)} mm`;

/** A flash head's zoom so many steps of 5 mm further; below 10 mm it is not noted. */
const nextZoom = (zoom: number | null, steps: number): number | null => {
  const next = stepped(zoom ?? 5, steps, 5, 5, 300);
  return next < 10 ? null : next;
};

type Step = (light: FlashLight, steps: number) => Partial<FlashLight>;

const fieldOf = (light: FlashLight, what: string, label: string, value: string, step: Step): PlanField => ({
  id: `${light.id} ${what}`,
  label,
  value,
  light: light.id,
  begins: what === 'on' || what === 'angle',
  step: (draft, steps) => withLight(draft, light.id, current => step(current, steps)),
});

/** The values of a light that change from try to try. */
export const lightFields = (light: FlashLight): PlanField[] => [
  fieldOf(light, 'on', `light ${light.id}`, light.on ? 'used' : 'not used', ({on}) => ({on: !on})),
  fieldOf(
    light,
    'power',
    'power',
    `${printPower(light.power)}${light.pops > 1 ? `, ${light.pops} pops` : ''}`,
    ({power}, steps) => ({power: further(risingPowers, nearestPower(power), steps)}),
  ),
  fieldOf(light, 'distance', 'distance', printDistance(light.distanceMetres), ({distanceMetres}, steps) => ({
    distanceMetres: nextDistance(distanceMetres, steps),
  })),
  fieldOf(light, 'gel', 'gel', light.gel ? plain(light.gel.name, 40) : 'none', ({gel}, steps) => ({
    gel: nextGel(gel, steps),
  })),
];

const snootFields = (light: FlashLight, earlier: readonly Rig[]): PlanField[] => {
  const {id, snoot} = light;
  const name = snoot ? plain(snoot.name, 40) || 'a snoot' : 'none';
  return [
    fieldOf(light, 'snoot', `${id} snoot`, name, current => ({snoot: current.snoot ? null : snootFor(id, earlier)})),
    ...(snoot
      ? [
          fieldOf(light, 'tube', `${id} tube`, millimetres(snoot.tubeMillimetres), (current, steps) => ({
            snoot: current.snoot && {
              ...current.snoot,
              tubeMillimetres: stepped(current.snoot.tubeMillimetres, steps, 10, 10, 3000),
            },
          })),
          fieldOf(light, 'exit', `${id} exit`, millimetres(snoot.exitMillimetres), (current, steps) => ({
            snoot: current.snoot && {
              ...current.snoot,
              exitMillimetres: stepped(current.snoot.exitMillimetres, steps, 5, 5, 1000),
            },
          })),
        ]
      : []),
  ];
};

/**
 * How a light is built and where it stands: what seldom changes once the set is up.
 * @param earlier rigs of before, the newest first: where a snoot that was taken off is found again
 */
export const lightSetFields = (light: FlashLight, earlier: readonly Rig[]): PlanField[] => {
  const {id} = light;
  return [
    fieldOf(light, 'angle', `${id} angle`, `${printNumber(light.angleDegrees, 0)}°`, ({angleDegrees}, steps) => ({
      angleDegrees: nextAngle(angleDegrees, steps),
    })),
    fieldOf(light, 'height', `${id} height`, printDistance(light.heightMetres), ({heightMetres}, steps) => ({
      heightMetres: stepped(heightMetres, steps, 0.05, 0, 20),
    })),
    fieldOf(
      light,
      'aim',
      `${id} aim`,
      light.aimOffDegrees === 0 ? 'at the face' : `${printNumber(light.aimOffDegrees, 0)}°`,
      ({aimOffDegrees}, steps) => ({aimOffDegrees: stepped(aimOffDegrees, steps, 1, -180, 180)}),
    ),
    ...snootFields(light, earlier),
    fieldOf(light, 'guide', `${id} guide`, printDistance(light.guideNumberMetres), ({guideNumberMetres}, steps) => ({
      guideNumberMetres: stepped(guideNumberMetres, steps, 1, 1, 500),
    })),
    fieldOf(
      light,
      'zoom',
      `${id} zoom`,
      light.zoomMillimetres === null ? 'not noted' : millimetres(light.zoomMillimetres),
      ({zoomMillimetres}, steps) => ({zoomMillimetres: nextZoom(zoomMillimetres, steps)}),
    ),
    fieldOf(light, 'pops', `${id} pops`, String(light.pops), ({pops}, steps) => ({
      pops: stepped(pops, steps, 1, 1, 64),
    })),
    fieldOf(light, 'colour', `${id} colour`, `${Math.round(light.kelvin)} K`, ({kelvin}, steps) => ({
      kelvin: stepped(kelvin, steps, 100, 1000, 40_000),
    })),
  ];
};
