import {z} from 'zod';
import {cameraIdentitySchema, frameOnCameraSchema} from './camera.js';
import {cueSheetSchema} from './cues.js';
import {exposureSchema} from './exposure.js';
import {readingSchema} from './reading.js';
import {rigSchema} from './rig.js';
import {zonesSchema} from './zones.js';

/** dark: none of our lights; "light A": that flash alone; sitter: all flashes, no trail. */
export const plateNameSchema = z.string().regex(/^(dark|sitter|light [A-Z])$/);

/** A file of the shoot: its path is relative to the shoot's folder, with forward slashes. */
export const shootFileSchema = z.object({
  path: z.string().max(400),
  nameOnCamera: z.string().max(400),
  kind: z.enum(['jpeg', 'raw', 'other']),
  bytes: z.number().int().nonnegative(),
  sha256: z.string().regex(/^[0-9a-f]{64}$/),
});

export const markSchema = z.enum(['keep', 'maybe', 'drop']);

const base = {
  /** Version of the entry's form. */
  v: z.literal(1),
  /** Wall-clock time, ISO 8601 with zone. */
  at: z.string(),
};
const attempt = z.number().int().positive();

export const limitsSchema = z.record(z.string(), z.number());

export const journalEntrySchema = z.discriminatedUnion('kind', [
  z.object({...base, kind: z.literal('shoot-begun'), name: z.string().max(200), program: z.string()}),
  /** The set-up was taken over from an earlier shoot, in this folder at that time. */
  z.object({...base, kind: z.literal('started-from'), folder: z.string().max(4096)}),
  z.object({...base, kind: z.literal('camera-seen'), camera: cameraIdentitySchema}),
  z.object({...base, kind: z.literal('rig-set'), rig: rigSchema}),
  z.object({...base, kind: z.literal('exposure-set'), exposure: exposureSchema}),
  z.object({...base, kind: z.literal('room-level-set'), roomEv100: z.number().nullable(), how: z.string()}),
  z.object({...base, kind: z.literal('zones-set'), zones: zonesSchema}),
  z.object({...base, kind: z.literal('cues-set'), cues: cueSheetSchema}),
  z.object({...base, kind: z.literal('limits-set'), limits: limitsSchema}),
  z.object({...base, kind: z.literal('focus-locked'), how: z.string()}),
  z.object({
    ...base,
    kind: z.literal('plate-taken'),
    plate: plateNameSchema,
    exposure: exposureSchema.nullable(),
    files: z.array(shootFileSchema).min(1),
  }),
  z.object({...base, kind: z.literal('plate-dropped'), plate: plateNameSchema, why: z.string()}),
  z.object({
    ...base,
    kind: z.literal('attempt-begun'),
    attempt,
    exposure: exposureSchema,
    cues: cueSheetSchema,
    /** What the sitter answered for in the preflight. */
    told: z.array(z.string()),
    series: z.boolean(),
  }),
  /** A probe of the room is about to be made within an attempt; what frames it made follows as `probe-made`. */
  z.object({...base, kind: z.literal('probe-begun'), attempt}),
  /** What a probe left on the camera; it belongs to no attempt. */
  z.object({...base, kind: z.literal('probe-made'), frames: z.array(frameOnCameraSchema)}),
  z.object({...base, kind: z.literal('shutter-opened'), attempt}),
  z.object({...base, kind: z.literal('shutter-closed'), attempt, openSeconds: z.number().nonnegative()}),
  z.object({...base, kind: z.literal('frames-made'), attempt, frames: z.array(frameOnCameraSchema)}),
  z.object({...base, kind: z.literal('frame-pulled'), attempt, file: shootFileSchema}),
  z.object({
    ...base,
    kind: z.literal('room-checked'),
    attempt,
    /** Wall level that the full exposure would have, EV around middle grey; null where nothing could be measured. */
    levelEv: z.number().nullable(),
    say: z.string(),
  }),
  z.object({...base, kind: z.literal('measured'), attempt, reading: readingSchema}),
  z.object({...base, kind: z.literal('unmeasured'), attempt, why: z.string()}),
  z.object({
    ...base,
    kind: z.literal('attempt-stopped'),
    attempt,
    during: z.enum(['countdown', 'room check', 'exposure', 'pull', 'measuring']),
    why: z.string(),
  }),
  z.object({...base, kind: z.literal('marked'), attempt, mark: markSchema.nullable()}),
  z.object({...base, kind: z.literal('noted'), attempt, text: z.string().max(2000)}),
  /** A frame that belongs to no attempt: made by hand on the body, or left by an exposure nobody knows. */
  z.object({...base, kind: z.literal('stray-pulled'), file: shootFileSchema}),
  z.object({...base, kind: z.literal('wrapped'), folder: z.string(), files: z.array(shootFileSchema)}),
]);

export type PlateName = z.infer<typeof plateNameSchema>;
export type ShootFile = z.infer<typeof shootFileSchema>;
export type Mark = z.infer<typeof markSchema>;
export type Limits = z.infer<typeof limitsSchema>;
export type JournalEntry = z.infer<typeof journalEntrySchema>;

type WithoutStamp<Entry> = Entry extends unknown ? Omit<Entry, 'v' | 'at'> : never;
/** An entry before the journal stamps it with version and time. */
export type JournalEvent = WithoutStamp<JournalEntry>;
