import {z} from 'zod';

/*
 * What the program and the process that holds the camera library say to each other. Both sides parse every message, so
 * that a library gone wrong can't hand the program anything else.
 */

/** A text as the camera gave it: hostile, and of a length that a driver can produce. */
const cameraText = z.string().max(16_384);

export const settingSchema = z.object({
  name: cameraText,
  type: z.enum(['text', 'range', 'toggle', 'choice', 'date', 'other']),
  readOnly: z.boolean(),
  /** Text for a text or a choice; a number for a range, a toggle (0, 1, 2 = unknown) and a date (seconds). */
  value: z.union([cameraText, z.number(), z.null()]),
  choices: z.array(cameraText).max(4096),
  range: z.object({low: z.number(), high: z.number(), step: z.number()}).nullable(),
});

export const cardFileSchema = z.object({
  folder: cameraText,
  name: cameraText,
  bytes: z.number().nonnegative().nullable(),
  mime: cameraText,
  /** Seconds since 1970 by the camera's clock; null where it doesn't tell. */
  madeAtSeconds: z.number().nullable(),
});

export const storageSchema = z.object({
  writable: z.boolean(),
  freeBytes: z.number().nonnegative().nullable(),
  freeFrames: z.number().nonnegative().nullable(),
});

export const cameraSeenSchema = z.object({model: cameraText, port: cameraText});

const folder = cameraText;
const name = cameraText;

/** What the program may ask for. */
export const callSchema = z.discriminatedUnion('do', [
  /** Loads the library; the first pair of names that is found counts. */
  z.object({do: z.literal('load'), libraries: z.array(z.tuple([z.string(), z.string()])).max(16)}),
  z.object({do: z.literal('detect')}),
  /** `port`: the library's own name of a port, or null for the first camera that is found on USB. */
  z.object({do: z.literal('open'), port: z.string().nullable(), model: z.string().nullable()}),
  z.object({do: z.literal('names')}),
  z.object({do: z.literal('summary')}),
  z.object({do: z.literal('read'), names: z.array(z.string()).max(64)}),
  z.object({do: z.literal('write'), name: z.string(), value: z.union([cameraText, z.number()])}),
  z.object({do: z.literal('trigger')}),
  /** Looks for events every so many milliseconds; 0 stops looking. */
  z.object({do: z.literal('listen'), everyMs: z.number().int().min(0).max(60_000)}),
  /** Tells every event that waits, and answers when the last is told. */
  z.object({do: z.literal('drain')}),
  z.object({do: z.literal('storages')}),
  z.object({do: z.literal('list')}),
  /** Writes a file of the camera to `path`, which must not exist. */
  z.object({do: z.literal('pull'), folder, name, path: z.string()}),
  /** Ends the pull with this id. */
  z.object({do: z.literal('stop'), pull: z.number().int()}),
  z.object({do: z.literal('close')}),
]);

/** What each call answers. */
export const answerSchemas = {
  load: z.object({
    version: z.string().max(200),
    models: z.number().int(),
    connections: z.array(z.string().max(40)).max(64),
  }),
  detect: z.object({cameras: z.array(cameraSeenSchema).max(64)}),
  open: z.object({
    model: cameraText,
    port: cameraText,
    can: z.object({capture: z.boolean(), trigger: z.boolean(), configure: z.boolean()}),
  }),
  names: z.object({names: z.array(cameraText).max(4096)}),
  summary: z.object({text: z.string().max(40_000)}),
  /** In the order asked for; null where there is no such setting or it can't be read now. */
  read: z.object({settings: z.array(settingSchema.nullable()).max(64)}),
  write: z.object({}),
  /** Whether the library could only take the picture in one go, and where it put the file. */
  trigger: z.object({file: cardFileSchema.nullable()}),
  listen: z.object({}),
  drain: z.object({}),
  storages: z.object({storages: z.array(storageSchema).max(16)}),
  list: z.object({files: z.array(cardFileSchema).max(100_000)}),
  pull: z.object({bytes: z.number().nonnegative()}),
  stop: z.object({}),
  close: z.object({}),
} as const;

export const requestSchema = z.object({id: z.number().int(), call: callSchema});

/** What the camera said of itself. */
export const eventSchema = z.discriminatedUnion('event', [
  z.object({event: z.literal('file'), file: cardFileSchema}),
  z.object({event: z.literal('complete')}),
  z.object({event: z.literal('other'), text: cameraText}),
  /** Looking for events failed; it has stopped. */
  z.object({event: z.literal('lost'), code: z.number().int(), slow: z.boolean()}),
]);

/** A call that failed: the library's code, what it said, and whether that took as long as its own limits. */
export const failureSchema = z.object({
  id: z.number().int(),
  failed: z.object({code: z.number().int(), said: z.string().max(2000), slow: z.boolean()}),
});

export const replySchema = z.union([
  z.object({id: z.number().int(), answer: z.unknown()}).refine(reply => 'answer' in reply),
  failureSchema,
  z.object({pull: z.number().int(), bytes: z.number().nonnegative(), total: z.number().nonnegative()}),
  eventSchema,
]);

export type Call = z.infer<typeof callSchema>;
export type CallName = Call['do'];
export type CallOf<Name extends CallName> = Extract<Call, {do: Name}>;
export type Answer<Name extends CallName> = z.infer<(typeof answerSchemas)[Name]>;
export type Request = z.infer<typeof requestSchema>;
export type Reply = z.infer<typeof replySchema>;
export type CameraEvent = z.infer<typeof eventSchema>;
export type Setting = z.infer<typeof settingSchema>;
export type CardFile = z.infer<typeof cardFileSchema>;
export type Storage = z.infer<typeof storageSchema>;
export type CameraSeen = z.infer<typeof cameraSeenSchema>;
