import {readFile} from 'node:fs/promises';
import {parseAperture, parseIso, parseShutter, quote} from '../../shared/exposure.js';
import {LightFault} from '../light/fault.js';
import {parseSensor} from '../light/focus.js';
import {type PlanOptions, planReport} from '../light/plan.js';
import {planReportSchema} from '../light/plan-schema.js';
import {printPlan} from '../light/plan-text.js';
import {parseRig, RigFault} from '../light/rig-file.js';

/** The flags of `plan`, as the command line hands them over. */
export type PlanFlags = {
  shutter: string;
  aperture: string;
  iso: string;
  roomEv?: string;
  roomLux?: string;
  focal?: string;
  focusDistance?: string;
  sensor?: string;
  rig?: string;
  toShutter?: string;
  toAperture?: string;
  toIso?: string;
  json?: boolean;
  feet?: boolean;
  explain?: boolean;
};

const numberPattern = /^[+\-−]?\d{1,9}(?:[.,]\d{1,9})?$/;

/** Reads a number with its flag's name for the sentence; a unit in its place is taken off. */
const numberOf = (flag: string, text: string, unit: RegExp): number => {
  const plain = text.trim().replace(unit, '').trim();
  if (!numberPattern.test(plain)) throw new LightFault(`${quote(text)} is not a number for ${flag}.`);
  return Number(plain.replace('−', '-').replace(',', '.'));
};

const focusOf = (flags: PlanFlags): PlanOptions['focus'] => {
  const {focal, focusDistance, sensor} = flags;
  if (focal === undefined && focusDistance === undefined) {
    if (sensor !== undefined) throw new LightFault('--sensor needs --focal and --focus-distance beside it.');
    return null;
  }
  if (focal === undefined || focusDistance === undefined) {
    throw new LightFault('--focal and --focus-distance go together: give both.');
  }
  const {widthMillimetres, heightMillimetres} = parseSensor(sensor ?? '36x24');
  return {
    focalMillimetres: numberOf('--focal', focal, /mm$/i),
    distanceMetres: numberOf('--focus-distance', focusDistance, /m$/i),
    sensorWidthMillimetres: widthMillimetres,
    sensorHeightMillimetres: heightMillimetres,
  };
};

const changeOf = ({toShutter, toAperture, toIso}: PlanFlags): PlanOptions['to'] => {
  if (toShutter === undefined && toAperture === undefined && toIso === undefined) return null;
  return {
    ...(toShutter === undefined ? {} : {shutterSeconds: parseShutter(toShutter)}),
    ...(toAperture === undefined ? {} : {fNumber: parseAperture(toAperture)}),
    ...(toIso === undefined ? {} : {iso: parseIso(toIso)}),
  };
};

/**
 * What was asked for, read from the flags.
 * @param rigText text of the rig's file; null without one
 * @throws SettingFault, LightFault or RigFault, each one sentence
 */
export const planOptionsOf = (flags: PlanFlags, rigText: string | null): PlanOptions => ({
  exposure: {
    shutterSeconds: parseShutter(flags.shutter),
    fNumber: parseAperture(flags.aperture),
    iso: parseIso(flags.iso),
  },
  roomEv100: flags.roomEv === undefined ? null : numberOf('--room-ev', flags.roomEv, /ev$/i),
  roomLux: flags.roomLux === undefined ? null : numberOf('--room-lux', flags.roomLux, /lx$|lux$/i),
  focus: focusOf(flags),
  rig: rigText === null ? null : parseRig(rigText),
  to: changeOf(flags),
});

/** What `plan` prints: JSON, or the plan in words. */
export const planOutput = (flags: PlanFlags, rigText: string | null): string => {
  const asked = planOptionsOf(flags, rigText);
  const report = planReport(asked);
  if (flags.json) return `${JSON.stringify(planReportSchema.parse(report), null, 2)}\n`;
  return printPlan(report, {explain: flags.explain ?? false, feet: flags.feet ?? false, asked});
};

const readRig = async (path: string): Promise<string> => {
  try {
    return await readFile(path, 'utf8');
  } catch {
    throw new RigFault(`The rig file ${quote(path)} can't be read; check its name and that it may be opened.`);
  }
};

/** The plan command: reads the rig where one is given, and prints. */
export const plan = async (flags: PlanFlags): Promise<void> => {
  const rigText = flags.rig === undefined ? null : await readRig(flags.rig);
  process.stdout.write(planOutput(flags, rigText));
};
