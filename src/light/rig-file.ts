import {z} from 'zod';
import {quote} from '../../shared/exposure.js';
import {
  demoRig,
  gelSchema,
  lightIdSchema,
  paintingLightSchema,
  type Rig,
  rigSchema,
  snootSchema,
} from '../../shared/rig.js';
import {safely} from '../../shared/safely.js';
import {usualGels} from './gel.js';
import {standsPossible} from './geometry.js';
import {guideNumberAtIso100, guideNumberAtZoom, guideNumberFromFeet, type ZoomRow} from './guide-number.js';

/*
 * A rig as a person writes it: JSON, every unit in its key. What is left out is taken as the plainest thing: one pop at
 * full power, no gel, no snoot, aimed at the face. The guide number may be given in metres or feet, at ISO 100 or another
 * sensitivity, or as a table by zoom setting; a gel by a common name.
 */

const zoomRow = z.object({zoomMillimetres: z.number().positive(), guideNumberMetres: z.number().positive()});

const writtenLight = z.strictObject({
  id: lightIdSchema,
  name: z.string().max(80).default(''),
  on: z.boolean().default(true),
  guideNumberMetres: z.number().positive().optional(),
  guideNumberFeet: z.number().positive().optional(),
  guideNumbersByZoom: z.array(zoomRow).min(1).optional(),
  guideNumberAtIso: z.number().min(1).default(100),
  zoomMillimetres: z.number().positive().nullable().default(null),
  power: z.union([z.number(), z.string()]).default(1),
  pops: z.number().default(1),
  kelvin: z.number().default(5500),
  gel: z.union([gelSchema, z.string()]).nullable().default(null),
  snoot: snootSchema
    .extend({name: z.string().max(80).default('snoot'), lossStops: z.number().default(0)})
    .nullable()
    .default(null),
  distanceMetres: z.number(),
  angleDegrees: z.number(),
  heightMetres: z.number().optional(),
  aimOffDegrees: z.number().default(0),
});

const writtenMark = z.strictObject({
  cameraDistanceMetres: z.number(),
  backWallMetres: z.number(),
  leftWallMetres: z.number().nullable().default(null),
  rightWallMetres: z.number().nullable().default(null),
  eyeHeightMetres: z.number().default(1.6),
});

const writtenLens = z.strictObject({
  focalMillimetres: z.number(),
  sensorWidthMillimetres: z.number().default(36),
  sensorHeightMillimetres: z.number().default(24),
  heightMetres: z.number().default(1.5),
});

const writtenRig = z.strictObject({
  schema: z.literal(1),
  name: z.string().max(80).default('rig'),
  lights: z.array(writtenLight).max(8),
  painting: paintingLightSchema.default(demoRig.painting),
  mark: writtenMark.default(demoRig.mark),
  lens: writtenLens.default(demoRig.lens),
  notes: z.string().max(4000).default(''),
});

type WrittenLight = z.infer<typeof writtenLight>;

/** A rig file that can't be used. The message is one sentence with the first thing that is wrong. */
export class RigFault extends Error {
  override name = 'RigFault';
}

const fault = (where: string, what: string): RigFault => new RigFault(`The rig file can't be used: ${where}${what}.`);

const guideNumber = (light: WrittenLight): number => {
  const given = [light.guideNumberMetres, light.guideNumberFeet, light.guideNumbersByZoom].filter(
    each => each !== undefined,
  );
  if (given.length !== 1) {
    throw fault(`light ${light.id} `, 'needs one of guideNumberMetres, guideNumberFeet and guideNumbersByZoom');
  }
  const {guideNumbersByZoom: table} = light;
  if (table && light.zoomMillimetres === null)
    throw fault(`light ${light.id} `, 'has guide numbers by zoom, but no zoomMillimetres');
  const metres = table
    ? guideNumberAtZoom(table as [ZoomRow, ...ZoomRow[]], light.zoomMillimetres!)
    : (light.guideNumberMetres ?? guideNumberFromFeet(light.guideNumberFeet!));
  return guideNumberAtIso100(metres, light.guideNumberAtIso);
};

const powerPattern = /^1\s*\/\s*(\d{1,3})(?:\s*\+\s*(0\.3|0\.7))?$/;

const power = (light: WrittenLight): number => {
  if (typeof light.power === 'number') return light.power;
  const match = powerPattern.exec(light.power.trim());
  if (!match || Number(match[1]) < 1)
    throw fault(`light ${light.id} `, `has the power ${quote(light.power)}; write it like "1/8" or "1/8 +0.3"`);
  const above = match[2] === '0.3' ? 1 / 3 : match[2] === '0.7' ? 2 / 3 : 0;
  return 2 ** above / Number(match[1]);
};

const gel = (light: WrittenLight): Rig['lights'][number]['gel'] => {
  if (typeof light.gel !== 'string') return light.gel;
  const wanted = light.gel.trim().toLowerCase();
  const found = usualGels.find(each => each.name.toLowerCase() === wanted);
  if (found) return {...found};
  throw fault(
    `light ${light.id} `,
    `has the gel ${quote(light.gel)}; known are ${usualGels.map(each => each.name).join(', ')}, or give miredShift and lossStops`,
  );
};

const completed = (light: WrittenLight, eyeHeightMetres: number): Rig['lights'][number] => ({
  id: light.id,
  name: light.name,
  on: light.on,
  guideNumberMetres: guideNumber(light),
  zoomMillimetres: light.zoomMillimetres,
  power: power(light),
  pops: light.pops,
  kelvin: light.kelvin,
  gel: gel(light),
  snoot: light.snoot,
  distanceMetres: light.distanceMetres,
  angleDegrees: light.angleDegrees,
  heightMetres: light.heightMetres ?? eyeHeightMetres,
  aimOffDegrees: light.aimOffDegrees,
});

const plainNames: Record<string, string> = {
  number: 'a number',
  string: 'text',
  boolean: 'true or false',
  array: 'a list',
  object: 'an object in braces',
};

/** What is wrong with one value, in a person's words. */
const plainIssue = (issue: z.core.$ZodIssue): string => {
  if (issue.code === 'invalid_type') {
    if (/received undefined$/.test(issue.message)) return 'is missing';
    return `must be ${plainNames[issue.expected] ?? issue.expected}`;
  }
  if (issue.code === 'too_small' && issue.origin === 'number')
    return `must be ${issue.inclusive ? 'at least' : 'more than'} ${issue.minimum}`;
  if (issue.code === 'too_big' && issue.origin === 'number')
    return `must be ${issue.inclusive ? 'at most' : 'less than'} ${issue.maximum}`;
  if (issue.code === 'too_big' && issue.origin === 'string') return `must have at most ${issue.maximum} characters`;
  if (issue.code === 'unrecognized_keys') return `has ${quote(issue.keys[0]!)}, which is not a word of rig files`;
  if (issue.code === 'invalid_value') return `must be ${issue.values.map(value => JSON.stringify(value)).join(' or ')}`;
  return `is wrong: ${issue.message}`;
};

/** The first thing that is wrong, with its place. */
const firstIssue = (error: z.ZodError | null, lights: readonly {id?: unknown}[]): string => {
  if (error === null) return 'a value in it is impossible';
  const issue = error.issues[0]!;
  const path = issue.path.map(String);
  const light = path[0] === 'lights' && path[1] !== undefined ? lights[Number(path[1])]?.id : undefined;
  const place = typeof light === 'string' ? [`light ${quote(light).slice(1, -1)}`, ...path.slice(2)] : path;
  return `${place.length === 0 ? 'it' : place.join(', ')} ${plainIssue(issue)}`;
};

const lightsOf = (written: unknown): {id?: unknown}[] => {
  const found = safely(z.object({lights: z.array(z.looseObject({id: z.unknown()}))}), written);
  return found.success ? found.data.lights : [];
};

/**
 * Reads a rig file.
 * @param text JSON
 * @throws RigFault with the first thing that is wrong, in one sentence
 */
export const parseRig = (text: string): Rig => {
  let written: unknown;
  try {
    written = JSON.parse(text);
  } catch {
    throw fault('', 'it is not JSON');
  }
  const read = safely(writtenRig, written);
  if (!read.success) throw fault('', firstIssue(read.error, lightsOf(written)));
  const rig = {...read.data, lights: read.data.lights.map(light => completed(light, read.data.mark.eyeHeightMetres))};
  const checked = rigSchema.safeParse(rig);
  if (!checked.success) throw fault('', firstIssue(checked.error, rig.lights));
  const ids = checked.data.lights.map(light => light.id);
  const twice = ids.find((id, index) => ids.indexOf(id) !== index);
  if (twice) throw fault('', `there are two lights ${twice}`);
  for (const light of checked.data.lights) {
    if (!standsPossible(checked.data, light)) {
      throw fault(
        `light ${light.id} `,
        'hangs farther above or below the face than it is away from it; check distanceMetres and heightMetres',
      );
    }
    if (light.snoot && light.snoot.tubeMillimetres / 1000 >= light.distanceMetres) {
      throw fault(
        `light ${light.id} `,
        'has a snoot that reaches past the face; check tubeMillimetres and distanceMetres',
      );
    }
  }
  return checked.data;
};

/** Writes a rig as the file that parseRig reads. */
export const printRig = (rig: Rig): string => `${JSON.stringify(rig, null, 2)}\n`;
