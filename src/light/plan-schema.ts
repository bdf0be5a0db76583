import {z} from 'zod';
import {exposureSchema} from '../../shared/exposure.js';
import {lightIdSchema} from '../../shared/rig.js';

/** What `plan --json` prints, version 1. */
export const planReportSchema = z.strictObject({
  schema: z.literal(1),
  exposure: exposureSchema.extend({ev100: z.number()}),
  /** The room's light as EV at ISO 100, and where it falls around middle grey. */
  room: z.strictObject({ev100: z.number(), levelEv: z.number(), say: z.string()}).nullable(),
  focus: z
    .strictObject({
      nearMetres: z.number(),
      /** null: sharp to infinity. */
      farMetres: z.number().nullable(),
      hyperfocalMetres: z.number(),
    })
    .nullable(),
  flashes: z.array(
    z.strictObject({
      id: lightIdSchema,
      /** Level on a mid-grey face at the rig's power, EV around middle grey. */
      levelEv: z.number(),
      power: z.number(),
      /** The power step that comes nearest to 0 EV, and what stays: positive is too bright. */
      suggestedPower: z.number(),
      leftoverEv: z.number(),
      /** Diameter of the fully lit spot on the face; null without a snoot, or when no point sees the whole source. */
      spotMetres: z.number().nullable(),
      kelvin: z.number().nullable(),
    }),
  ),
  change: z
    .strictObject({
      /** The room and all continuous light. */
      ev: z.number(),
      /** What each flash must give more to keep its level. */
      flashPowerEv: z.number(),
      /** Or the factor on its distance that does the same. */
      distanceFactor: z.number(),
      trailEv: z.number(),
    })
    .nullable(),
});

export type PlanReport = z.infer<typeof planReportSchema>;
