import {printAperture, printExposure, printIso} from '../../shared/exposure.js';
import type {FlashLight} from '../../shared/rig.js';
import {BURIED_EV, buryRoom, describeDarkness} from './darkness.js';
import {LONGEST_TIMED_SECONDS} from './equivalent.js';
import {flashCautions} from './flash-care.js';
import {airyMicrometres, depthAroundMark} from './focus.js';
import {focusOf, type PlanOptions} from './plan.js';
import {explainChange, explainExposure, explainFlash, explainFocus, explainRoom} from './plan-explain.js';
import type {PlanReport} from './plan-schema.js';
import {holdFlash, lightingRatio, nearestPower, printPower} from './power.js';
import {luxOfEv100} from './room.js';
import {spotOnFace, swayMargin} from './sway.js';
import {printChange, printDistance, printKelvin, printLevel, printNumber, printSeconds, printSmall} from './words.js';

/** How a plan is printed. */
export type PrintOptions = {
  explain: boolean;
  feet: boolean;
  /** What was asked for: lets the text say more than the report holds (distances, sway, cautions). */
  asked?: PlanOptions;
};

type Section = {title: string; lines: string[]; because: string[]};

const settings = ({shutterSeconds, fNumber, iso}: PlanReport['exposure']): string =>
  `${printSeconds(shutterSeconds)} at ${printAperture(fNumber)}, ${printIso(iso)}`;

const amountOfLux = (lux: number): string => `${lux >= 100 ? Math.round(lux) : Number(lux.toPrecision(2))} lx`;

const exposureSection = ({exposure}: PlanReport): Section => ({
  title: 'Exposure',
  lines: [
    `${settings(exposure)} makes ${amountOfLux(luxOfEv100(exposure.ev100))} of steady light middle grey (EV ${printNumber(exposure.ev100, 1)} at ISO 100).`,
    ...(exposure.shutterSeconds > LONGEST_TIMED_SECONDS ? ['Most cameras need bulb for a time this long.'] : []),
  ],
  because: explainExposure(exposure),
});

const roomSection = ({exposure, room}: PlanReport): Section[] => {
  if (!room) return [];
  const all = room.levelEv > BURIED_EV ? buryRoom(exposure, room.ev100) : [];
  const ways = all.some(way => way.reaches) ? all.filter(way => way.reaches) : all;
  return [
    {
      title: 'Room',
      lines: [
        room.say,
        ...(ways.length === 0 ? [] : [describeDarkness(exposure, BURIED_EV)]),
        ...ways.map(
          (way, index) => `${index > 0 ? 'Or ' : way.reaches ? 'Cheapest: ' : 'Not enough alone: '}${way.say}`,
        ),
      ],
      because: explainRoom(exposure, room),
    },
  ];
};

const focusSection = ({exposure, focus}: PlanReport, {feet, asked}: PrintOptions): Section[] => {
  if (!focus) return [];
  const far = focus.farMetres === null ? 'infinity' : printDistance(focus.farMetres, feet);
  const at = asked ? focusOf(asked) : null;
  const around = at ? depthAroundMark(focus, at.distanceMetres) : null;
  const behind =
    around?.behindCentimetres == null
      ? 'without end behind it'
      : `${printSmall(around.behindCentimetres / 100, feet)} behind it`;
  return [
    {
      title: 'Focus',
      lines: [
        `Sharp from ${printDistance(focus.nearMetres, feet)} to ${far}${around ? `: ${printSmall(around.frontCentimetres / 100, feet)} in front of the mark, ${behind}` : ''}.`,
        `Focused at ${printDistance(focus.hyperfocalMetres, feet)} everything from half of that to infinity would be sharp.`,
        ...(exposure.fNumber > 11
          ? [
              `At ${printAperture(exposure.fNumber)} diffraction spreads a point over ${printNumber(airyMicrometres(exposure.fNumber), 0)} µm: a little softness everywhere.`,
            ]
          : []),
      ],
      because: explainFocus(exposure, at),
    },
  ];
};

const spotLines = (light: FlashLight, feet: boolean): string[] => {
  const spot = spotOnFace(light);
  if (!spot) return [];
  if (spot.fullMetres === null) {
    return [
      `   No point of the face sees the whole source through this snoot: the level is less than worked out, and does not follow the inverse square. Trust the plate.`,
    ];
  }
  const sway = swayMargin(spot.fullMetres, light.angleDegrees);
  const margins = [
    ...(sway.sidewaysMetres === null ? [] : [`${printSmall(sway.sidewaysMetres, feet)} sideways`]),
    ...(sway.toAndFroMetres === null ? [] : [`${printSmall(sway.toAndFroMetres, feet)} to and fro`]),
  ];
  const until = sway.covers === 'spot holds the face' ? 'before your face leaves it' : 'before it leaves your face';
  return [
    `   Spot on the face ${printSmall(spot.fullMetres, feet)} with a soft edge of ${printSmall(spot.penumbraMetres, feet)}; you may sway ${margins.join(' or ')} ${until}.`,
  ];
};

const flashLines = (
  flash: PlanReport['flashes'][number],
  {feet, asked}: PrintOptions,
  shutterSeconds: number,
): string[] => {
  const light = asked?.rig?.lights.find(each => each.id === flash.id);
  const from = light ? ` from ${printDistance(light.distanceMetres, feet)}` : '';
  const asIs = nearestPower(flash.power) === flash.suggestedPower;
  const advice = asIs
    ? `as near to middle grey as its steps come`
    : `${printPower(flash.suggestedPower)} brings it to ${printLevel(flash.leftoverEv)}`;
  return [
    `${flash.id}  at ${printPower(flash.power)}${from} lights the face to ${printLevel(flash.levelEv)}: ${advice}${flash.kelvin === null ? '' : `, ${printKelvin(flash.kelvin)}`}.`,
    ...(light ? spotLines(light, feet) : []),
    ...(light ? flashCautions(light, shutterSeconds, 0).map(caution => `   ${caution}`) : []),
  ];
};

const flashSection = (report: PlanReport, options: PrintOptions): Section[] => {
  const {flashes, exposure} = report;
  if (flashes.length === 0) return [];
  const [first, second] = flashes.toSorted((a, b) => b.levelEv - a.levelEv);
  return [
    {
      title: 'Flashes',
      lines: [
        ...flashes.flatMap(flash => flashLines(flash, options, exposure.shutterSeconds)),
        ...(first && second ? [lightingRatio(first, second).say] : []),
      ],
      because: flashes.flatMap(flash =>
        explainFlash(exposure, flash, options.asked?.rig?.lights.find(light => light.id === flash.id) ?? null),
      ),
    },
  ];
};

const holdLine = (light: FlashLight, report: PlanReport, to: PlanReport['exposure'], feet: boolean): string => {
  const hold = holdFlash(light, report.exposure, to);
  const byPower = hold.power ? `to ${printPower(hold.power.power)}` : 'beyond its full power';
  const pops = hold.pops !== null && hold.pops > light.pops ? `, or fire ${hold.pops} times` : '';
  return `${light.id}  from ${printPower(light.power)} ${byPower}, or from ${printDistance(light.distanceMetres, feet)} to ${printDistance(hold.distanceMetres, feet)}${pops}.`;
};

const changeSection = (report: PlanReport, {feet, asked}: PrintOptions): Section[] => {
  const {change, exposure} = report;
  if (!change) return [];
  const to = asked?.to ? {...exposure, ...asked.to} : null;
  const lights = asked?.rig?.lights.filter(light => light.on) ?? [];
  const keeps = Math.abs(change.flashPowerEv) < 0.005;
  return [
    {
      title: to ? `Change to ${printExposure(to).replace(/(\d)s /, '$1 s ')}` : 'Change',
      lines: [
        `The room changes by ${printChange(change.ev, 2)}, the trail by ${printChange(change.trailEv, 2)}.`,
        keeps
          ? 'Flashes stay as they are.'
          : `To keep the face, each flash must give ${printNumber(Math.abs(change.flashPowerEv), 2)} EV ${change.flashPowerEv > 0 ? 'more' : 'less'}, or stand at ${printNumber(change.distanceFactor, 2)} times its distance.`,
        ...(to && !keeps ? lights.map(light => holdLine(light, report, to, feet)) : []),
      ],
      because: explainChange(exposure, to, change),
    },
  ];
};

/** A plan as a person would say it, in metres; with feet and with each number's reason where wanted. Ends in a newline. */
export const printPlan = (report: PlanReport, options: PrintOptions): string => {
  const sections = [
    exposureSection(report),
    ...roomSection(report),
    ...focusSection(report, options),
    ...flashSection(report, options),
    ...changeSection(report, options),
  ];
  return sections
    .map(({title, lines, because}) =>
      [
        title,
        ...lines.map(line => `  ${line}`),
        ...(options.explain ? because.map(line => `    = ${line}`) : []),
        '',
      ].join('\n'),
    )
    .join('\n');
};
