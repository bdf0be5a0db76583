import {type Exposure, parseAperture, parseIso, parseShutter, quote} from '../../shared/exposure.js';
import {type PlanOptions, planReport} from '../light/plan.js';
import {printPlan} from '../light/plan-text.js';
import {UsageFault} from './complain.js';
import {readRigFile} from './rig-file.js';

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
  feet?: boolean;
  explain?: boolean;
  json?: boolean;
};

const numberOf = (flag: string, text: string): number => {
  const value = text.trim() === '' ? Number.NaN : Number(text.replace('−', '-'));
  if (!Number.isFinite(value)) throw new UsageFault(`${flag} takes a number, not ${quote(text)}.`);
  return value;
};

const sensorOf = (text: string): {sensorWidthMillimetres: number; sensorHeightMillimetres: number} => {
  const match = /^(\d+(?:\.\d+)?)\s*[x×]\s*(\d+(?:\.\d+)?)$/i.exec(text.trim());
  if (!match) throw new UsageFault(`${quote(text)} is not a sensor's size; write it in millimetres, like 36x24.`);
  return {sensorWidthMillimetres: Number(match[1]), sensorHeightMillimetres: Number(match[2])};
};

const focusOf = ({focal, focusDistance, sensor}: PlanFlags): PlanOptions['focus'] => {
  if (focal === undefined && focusDistance === undefined) {
    if (sensor !== undefined) throw new UsageFault('--sensor goes with --focal and --focus-distance.');
    return null;
  }
  if (focal === undefined || focusDistance === undefined) {
    throw new UsageFault('Depth of field needs both --focal and --focus-distance.');
  }
  return {
    focalMillimetres: numberOf('--focal', focal),
    distanceMetres: numberOf('--focus-distance', focusDistance),
    ...sensorOf(sensor ?? '36x24'),
  };
};

const changeOf = ({toShutter, toAperture, toIso}: PlanFlags): Partial<Exposure> | null => {
  const to = {
    ...(toShutter !== undefined && {shutterSeconds: parseShutter(toShutter)}),
    ...(toAperture !== undefined && {fNumber: parseAperture(toAperture)}),
    ...(toIso !== undefined && {iso: parseIso(toIso)}),
  };
  return Object.keys(to).length > 0 ? to : null;
};

/**
 * Prints the numbers of a plan, as a person would say them or as JSON.
 * @throws UsageFault, SettingFault, LightFault: one sentence each, all of them wrong use
 */
export const plan = async (flags: PlanFlags): Promise<void> => {
  const asked: PlanOptions = {
    exposure: {
      shutterSeconds: parseShutter(flags.shutter),
      fNumber: parseAperture(flags.aperture),
      iso: parseIso(flags.iso),
    },
    roomEv100: flags.roomEv === undefined ? null : numberOf('--room-ev', flags.roomEv),
    roomLux: flags.roomLux === undefined ? null : numberOf('--room-lux', flags.roomLux),
    focus: focusOf(flags),
    rig: flags.rig === undefined ? null : await readRigFile(flags.rig),
    to: changeOf(flags),
  };
  const report = planReport(asked);
  process.stdout.write(
    flags.json
      ? `${JSON.stringify(report, null, 2)}\n`
      : printPlan(report, {explain: flags.explain ?? false, feet: flags.feet ?? false, asked}),
  );
};
