import {z} from 'zod';
import {exposureSchema} from './exposure.js';
import {lightIdSchema} from './rig.js';

/*
 * Two schemas: what `measure --json` prints (exactly the published form, version 1), and what the program keeps, which
 * says more. A kept reading is printed by parsing it with the printed schema, which drops what isn't published.
 */

const point = z.object({x: z.number(), y: z.number()});
const fraction = z.number().min(0).max(1);
/** A level in EV around middle grey; null where there is nothing to measure. */
const level = z.number().nullable();

export const sideSchema = z.enum(['left', 'right', 'top', 'bottom', 'even']);

const lightSchema = z.object({
  id: lightIdSchema,
  fired: z.boolean(),
  /** Strength relative to its plate: 0 as on the plate, +1 twice the light, null when it did not fire. */
  ev: z.number().nullable(),
});

const spillSchema = z.object({light: lightIdSchema, levelEv: z.number(), at: point});

const faceSchema = z.object({
  levelEv: level,
  clippedFraction: fraction,
  /** Left half of the picture's face over the right half, in stops. */
  leftRightEv: level,
  /** Relative to the plates: 1 as sharp, less is softer; null without plates. */
  sharpness: z.number().nullable(),
  /** Shift of the head against the plates, fractions of the frame. */
  shift: point,
});

const trailSchema = z.object({
  /** Part of 72 directions around the face centre in which the trail passes outside the face ellipse. */
  coverage: fraction,
  /** Trail pixels inside the face ellipse over pixels of the ellipse. */
  crossing: fraction,
  /** Heads from the top of the face ellipse up to the nearest trail straight above; null if there is none. */
  headGap: z.number().nullable(),
  /** The trail's centre against the face's, in heads. */
  offset: point,
  /** Part of the trail's pixels at or above 0.98 of full scale. */
  clippedFraction: fraction,
});

const printedCheckSchema = z.object({id: z.string(), state: z.enum(['ok', 'watch', 'fail']), say: z.string()});

export const adviceSchema = z.object({do: z.string(), because: z.string()});

/** What `measure --json` prints. */
export const printedReadingSchema = z.object({
  schema: z.literal(1),
  frame: z.object({
    file: z.string(),
    width: z.number().int(),
    height: z.number().int(),
    takenAt: z.string().nullable(),
    exposure: exposureSchema.nullable(),
  }),
  lights: z.array(lightSchema),
  ambient: z.object({
    /** Level of the wall. */
    levelEv: level,
    /** Rise of the wall over the dark plate in EV; null without plates. */
    riseEv: level,
    side: sideSchema.nullable(),
    kelvin: z.number().nullable(),
  }),
  /** Each light's strongest patch on the wall. */
  spill: z.array(spillSchema),
  face: faceSchema,
  trail: trailSchema.nullable(),
  checks: z.array(printedCheckSchema),
  advice: z.array(adviceSchema),
  timing: z.object({decodeMs: z.number(), measureMs: z.number()}),
});

export const trailReadingSchema = trailSchema.extend({
  /** Middle of the crossing, fractions of the frame; null without one. */
  crossingAt: point.nullable(),
  /** Median level of the trail's own light. */
  levelEv: level,
  /** Spread of the trail's level along its length (MAD-based σ), EV. */
  unevenEv: z.number().min(0).nullable(),
  /** 72 flags, direction 0 to the right of the picture and on clockwise: does the trail pass there outside the face? */
  directions: z.array(z.boolean()).length(72),
});

/** One check, with the number that was judged and the limit it was held against, where there is one. */
export const checkSchema = printedCheckSchema.extend({
  value: z.number().nullable(),
  limit: z.number().nullable(),
  unit: z.string(),
});

/** What one frame measured, before anyone thinks about it. */
export const measurementSchema = printedReadingSchema.omit({checks: true, advice: true}).extend({
  /** `share`: the light's part of what that patch holds. */
  spill: z.array(spillSchema.extend({share: fraction})),
  /** `doubled`: two pops with movement between them, so that the head stands twice. */
  face: faceSchema.extend({doubled: z.boolean()}),
  trail: trailReadingSchema.nullable(),
  /**
   * Counts of luminance in steps of EV around middle grey, of every other pixel of every other row; the first and last bin
   * are open-ended.
   */
  histogram: z.object({fromEv: z.number(), stepEv: z.number(), counts: z.array(z.number().int().nonnegative())}),
  /** What could not be measured and why, each a sentence. */
  missing: z.array(z.string()),
});

/** What the program keeps of a frame. */
export const readingSchema = measurementSchema.extend({checks: z.array(checkSchema), advice: z.array(adviceSchema)});

export type Side = z.infer<typeof sideSchema>;
export type LightReading = z.infer<typeof lightSchema>;
export type TrailReading = z.infer<typeof trailReadingSchema>;
export type Measurement = z.infer<typeof measurementSchema>;
export type Check = z.infer<typeof checkSchema>;
export type Advice = z.infer<typeof adviceSchema>;
export type Reading = z.infer<typeof readingSchema>;
