import {z} from 'zod';
import {exposureSchema} from './exposure.js';
import {lightIdSchema} from './rig.js';

const point = z.object({x: z.number(), y: z.number()});
/** A level in EV around middle grey; null where there is nothing to measure. */
const level = z.number().nullable();

export const sideSchema = z.enum(['left', 'right', 'top', 'bottom', 'even']);

export const lightReadingSchema = z.object({
  id: lightIdSchema,
  fired: z.boolean(),
  /** Strength relative to its plate: 0 as on the plate, +1 twice the light, null when it did not fire. */
  ev: z.number().nullable(),
});

export const trailReadingSchema = z.object({
  /** Part of 72 directions around the face centre in which the trail passes outside the face ellipse, 0..1. */
  coverage: z.number().min(0).max(1),
  /** Trail pixels inside the face ellipse over pixels of the ellipse, 0..1. */
  crossing: z.number().min(0).max(1),
  /** Where the crossing lies, as fractions of the frame; null without one. */
  crossingAt: point.nullable(),
  /** Heads from the top of the face ellipse up to the nearest trail straight above; null if there is none. */
  headGap: z.number().nullable(),
  /** The trail's centre against the face's, in heads. */
  offset: point,
  /** Part of the trail's pixels at or above 0.98 of full scale, 0..1. */
  clippedFraction: z.number().min(0).max(1),
  /** Median level of the trail's own light. */
  levelEv: level,
  /** Spread of the trail's level along its length (MAD-based σ), EV. */
  unevenEv: z.number().min(0).nullable(),
  /** 72 flags, direction 0 to the right of the picture and on clockwise: does the trail pass there outside the face? */
  directions: z.array(z.boolean()).length(72),
});

/** What one frame measured, before anyone thinks about it. */
export const measurementSchema = z.object({
  schema: z.literal(1),
  frame: z.object({
    file: z.string(),
    width: z.number().int(),
    height: z.number().int(),
    takenAt: z.string().nullable(),
    exposure: exposureSchema.nullable(),
  }),
  lights: z.array(lightReadingSchema),
  ambient: z.object({
    levelEv: level,
    /** Rise of the wall over the dark plate in EV; null without plates. */
    riseEv: level,
    side: sideSchema.nullable(),
    kelvin: z.number().nullable(),
  }),
  spill: z.array(
    z.object({
      light: lightIdSchema,
      levelEv: z.number(),
      at: point,
      /** The light's part of what that patch holds, 0..1. */
      share: z.number().min(0).max(1),
    }),
  ),
  face: z.object({
    levelEv: level,
    clippedFraction: z.number().min(0).max(1),
    /** Left half of the picture's face over the right half, in stops. */
    leftRightEv: level,
    /** Relative to the plates: 1 as sharp, less is softer; null without plates. */
    sharpness: z.number().nullable(),
    /** Shift of the head against the plates, fractions of the frame. */
    shift: point,
    /** Two pops with movement between them: the head stands twice. */
    doubled: z.boolean(),
  }),
  trail: trailReadingSchema.nullable(),
  /** A histogram of luminance: counts per EV bin of 0.5 from −12 to +3 EV, the first and last open-ended. */
  histogram: z.object({fromEv: z.number(), stepEv: z.number(), counts: z.array(z.number().int().nonnegative())}),
  /** What could not be measured and why, each a sentence. */
  missing: z.array(z.string()),
  timing: z.object({decodeMs: z.number(), measureMs: z.number()}),
});

export const checkSchema = z.object({
  id: z.string(),
  state: z.enum(['ok', 'watch', 'fail']),
  say: z.string(),
  /** The number that was judged and the limit it was held against, where there is one. */
  value: z.number().nullable(),
  limit: z.number().nullable(),
  unit: z.string(),
});

export const adviceSchema = z.object({do: z.string(), because: z.string()});

export const readingSchema = measurementSchema.extend({checks: z.array(checkSchema), advice: z.array(adviceSchema)});

export type Side = z.infer<typeof sideSchema>;
export type LightReading = z.infer<typeof lightReadingSchema>;
export type TrailReading = z.infer<typeof trailReadingSchema>;
export type Measurement = z.infer<typeof measurementSchema>;
export type Check = z.infer<typeof checkSchema>;
export type Advice = z.infer<typeof adviceSchema>;
export type Reading = z.infer<typeof readingSchema>;
