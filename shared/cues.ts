import {z} from 'zod';

/** The moments of an attempt that the sitter must hear, in their order. */
export const cueNames = ['lights out', 'open', 'paint', 'hold still', 'flash', 'closed'] as const;

export const cueSchema = z.object({
  name: z.enum(cueNames),
  /** Seconds from the opening of the shutter; negative is before it. */
  atSeconds: z.number().min(-600).max(3600),
  sound: z.enum(['tone', 'speech', 'both', 'none']),
});

export const cueSheetSchema = z.object({
  /** Seconds from "go" to the opening, 0 to 120. */
  countdownSeconds: z.number().min(0).max(120),
  cues: z.array(cueSchema).max(40),
});

export type CueName = (typeof cueNames)[number];
export type Cue = z.infer<typeof cueSchema>;
export type CueSheet = z.infer<typeof cueSheetSchema>;

/**
 * The usual sheet for one exposure: ten seconds to kill the lights and stand on the mark, paint for five, hold still,
 * flash near the end, closed.
 * @param shutterSeconds length of the exposure, seconds, > 0; short exposures keep the same proportions
 */
export const usualCueSheet = (shutterSeconds: number, countdownSeconds = 10): CueSheet => {
  const at = (part: number): number => Math.round(shutterSeconds * part * 1000) / 1000;
  return {
    countdownSeconds,
    cues: [
      {name: 'lights out', atSeconds: -Math.min(9, countdownSeconds), sound: 'both'},
      {name: 'open', atSeconds: 0, sound: 'tone'},
      {name: 'paint', atSeconds: at(0.0625), sound: 'both'},
      {name: 'hold still', atSeconds: at(0.6875), sound: 'both'},
      {name: 'flash', atSeconds: at(0.8125), sound: 'both'},
      {name: 'closed', atSeconds: shutterSeconds, sound: 'both'},
    ],
  };
};
