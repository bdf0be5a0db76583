import {printAperture, printIso} from '../../shared/exposure.js';
import {plainText} from '../../shared/plain-text.js';
import {BURIED_EV, buryRoom, describeDarkness} from './darkness.js';
import {LONGEST_TIMED_SECONDS} from './equivalent.js';
import {airyMicrometres, depthAroundMark, printLimit} from './focus.js';
import {handSpeedFor, trailLevelEv} from './painting.js';
import {focusOf, type PlanOptions} from './plan.js';
import {
  explainChange,
  explainExposure,
  explainFlash,
  explainFocus,
  explainPainting,
  explainRoom,
} from './plan-explain.js';
import {flashLines, holdLine, whiteBalanceLine} from './plan-flash-text.js';
import type {PlanReport} from './plan-schema.js';
import {lightingRatio} from './power.js';
import {planProbe} from './probe.js';
import {luxOfEv100} from './room.js';
import {printChange, printDistance, printLevel, printNumber, printSeconds, printSettings, printSmall} from './words.js';

/** How a plan is printed. */
export type PrintOptions = {
  explain: boolean;
  feet: boolean;
  /** What was asked for: lets the text say more than the report holds (distances, sway, walls, cautions). */
  asked?: PlanOptions;
};

/** A plan's lines about one thing, and where their numbers come from. */
export type Section = {title: string; lines: string[]; because: string[]};

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

/** The probe that would measure the room; nothing where the exposure itself is short enough to be one. */
const probeLine = (exposure: PlanReport['exposure']): string[] => {
  if (exposure.shutterSeconds < 1 || exposure.shutterSeconds > 300) return [];
  const {exposure: probe} = planProbe(exposure);
  return [`Not measured yet: a probe of ${settings({...probe, ev100: 0})} shows what it would leave.`];
};

const roomSection = ({exposure, room}: PlanReport): Section[] => {
  if (!room) {
    const lines = probeLine(exposure);
    return lines.length === 0 ? [] : [{title: 'Room', lines, because: []}];
  }
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

/** Distance from which a poster's picture is looked at when it is looked at closely, metres. Our own choice. */
const VIEWING_METRES = 0.5;

const focusSection = ({exposure, focus}: PlanReport, {feet, asked}: PrintOptions): Section[] => {
  if (!focus) return [];
  const far = focus.farMetres === null ? 'infinity' : printDistance(focus.farMetres, feet);
  const at = asked ? focusOf(asked) : null;
  const around = at ? depthAroundMark(focus, at.distanceMetres) : null;
  const behind =
    around?.behindCentimetres == null
      ? 'without end behind it'
      : `${printSmall(around.behindCentimetres / 100, feet)} behind it`;
  const mark = around ? `: ${printSmall(around.frontCentimetres / 100, feet)} in front of the mark, ${behind}` : '';
  const print = at
    ? printLimit({...at, fNumber: exposure.fNumber}, at.distanceMetres, at.distanceMetres, VIEWING_METRES)
    : null;
  return [
    {
      title: 'Focus',
      lines: [
        `Sharp from ${printDistance(focus.nearMetres, feet)} to ${far}${mark}.`,
        `Focused at ${printDistance(focus.hyperfocalMetres, feet)} everything from half of that to infinity would be sharp.`,
        ...(print
          ? [
              `On the mark the lens holds a print of up to ${printDistance(print.longSideMetres, feet)} on its long side, seen from ${printDistance(VIEWING_METRES, feet)}; diffraction is the limit.`,
            ]
          : []),
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

const flashSection = ({flashes, exposure}: PlanReport, {asked, feet}: PrintOptions): Section[] => {
  const [first, second] = flashes.toSorted((a, b) => b.levelEv - a.levelEv);
  if (!first) return [];
  const rig = asked?.rig ?? null;
  return [
    {
      title: 'Flashes',
      lines: [
        ...flashes.flatMap(flash => flashLines(flash, rig, exposure, feet)),
        ...(second ? [lightingRatio(first, second).say] : []),
        ...whiteBalanceLine(first),
      ],
      because: flashes.flatMap(flash => explainFlash(exposure, flash, rig)),
    },
  ];
};

const paintingSection = ({exposure}: PlanReport, {asked}: PrintOptions): Section[] => {
  const painting = asked?.rig?.painting;
  if (!painting) return [];
  const level = trailLevelEv(painting, exposure);
  return [
    {
      title: 'Painting light',
      lines: [
        `The trail of the ${plainText(painting.name)} comes out at ${printLevel(level)}, whatever the time; a hand twice as fast leaves ${printLevel(level - 1)}, half as fast ${printLevel(level + 1)}.`,
      ],
      because: explainPainting(exposure, painting, level),
    },
  ];
};

const flashChange = ({flashPowerEv, distanceFactor}: NonNullable<PlanReport['change']>): string =>
  Math.abs(flashPowerEv) < 0.005
    ? 'Flashes stay as they are.'
    : `To keep the face, each flash must give ${printNumber(Math.abs(flashPowerEv), 2)} EV ${flashPowerEv > 0 ? 'more' : 'less'}, or stand at ${printNumber(distanceFactor, 2)} times its distance.`;

const changeSection = (report: PlanReport, {feet, asked}: PrintOptions): Section[] => {
  const {change, exposure} = report;
  if (!change) return [];
  const to = asked?.to ? {...exposure, ...asked.to} : null;
  const keeps = Math.abs(change.flashPowerEv) < 0.005;
  const rig = asked?.rig;
  const hand = to && rig ? handSpeedFor(rig.painting, to, trailLevelEv(rig.painting, exposure)) : null;
  return [
    {
      title: to ? `Change to ${printSettings(to)}` : 'Change',
      lines: [
        `The room changes by ${printChange(change.ev, 2)}, the trail by ${printChange(change.trailEv, 2)}.`,
        flashChange(change),
        ...(to && rig && !keeps
          ? rig.lights.filter(light => light.on).map(light => holdLine(light, exposure, to, feet))
          : []),
        ...(hand !== null && !keeps ? [`To keep the trail, move the hand ${printNumber(hand, 2)} times as fast.`] : []),
      ],
      because: explainChange(exposure, to, change),
    },
  ];
};

/** What a plan says, thing by thing. */
export const planSections = (report: PlanReport, options: PrintOptions): Section[] => [
  exposureSection(report),
  ...roomSection(report),
  ...focusSection(report, options),
  ...flashSection(report, options),
  ...paintingSection(report, options),
  ...changeSection(report, options),
];

/** A plan as a person would say it, in metres; with feet and with each number's reason where wanted. Ends in a newline. */
export const printPlan = (report: PlanReport, options: PrintOptions): string =>
  planSections(report, options)
    .map(({title, lines, because}) =>
      [
        title,
        ...lines.map(line => `  ${line}`),
        ...(options.explain ? because.map(line => `    = ${line}`) : []),
        '',
      ].join('\n'),
    )
    .join('\n');
