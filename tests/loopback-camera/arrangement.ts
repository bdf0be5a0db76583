import {z} from 'zod';
import {cueSheetSchema} from '../../shared/cues.js';
import {lightIdSchema, rigSchema} from '../../shared/rig.js';
import type {Arrangement} from '../../shared/room.js';

const arrangementSchema: z.ZodType<Arrangement> = z.object({
  rig: rigSchema,
  firing: z.array(lightIdSchema),
  roomLights: z.boolean(),
  sitter: z.boolean(),
  painting: z.boolean(),
  cues: cueSheetSchema,
});

/** Reads an arrangement of the room from a line of JSON; null for what is none. */
export const readArrangement = (line: string): Arrangement | null => {
  try {
    return arrangementSchema.parse(JSON.parse(line));
  } catch {
    return null;
  }
};
