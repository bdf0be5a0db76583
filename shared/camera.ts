import {z} from 'zod';
import {type Exposure, exposureSchema} from './exposure.js';

/** Who the camera says it is: maker, model, serial number, port. Sanitised text. */
export const cameraIdentitySchema = z.object({
  kind: z.enum(['studio', 'inbox', 'gphoto2']),
  maker: z.string(),
  model: z.string(),
  serial: z.string(),
  port: z.string(),
});

export const cameraStatusSchema = z.object({
  /** null where the camera doesn't tell. */
  exposure: exposureSchema.nullable(),
  focusMode: z.enum(['manual', 'auto', 'unknown']),
  /** Whether the focus is known to be locked (manual counts as locked). */
  focusLocked: z.boolean(),
  format: z.enum(['jpeg', 'raw', 'raw+jpeg', 'other', 'unknown']),
  batteryPercent: z.number().min(0).max(100).nullable(),
  freeBytes: z.number().nonnegative().nullable(),
  freeFrames: z.number().nonnegative().nullable(),
  /** Camera clock minus ours, seconds. */
  clockDifferenceSeconds: z.number().nullable(),
  /** What this camera can do for us. */
  can: z.object({
    setExposure: z.boolean(),
    openShutter: z.boolean(),
    focusDrive: z.boolean(),
    probe: z.boolean(),
  }),
  /** What should be said about this camera, each a sentence. */
  notes: z.array(z.string()),
});

/** A file that a camera made. Names are the camera's and hostile until sanitised. */
export const frameOnCameraSchema = z.object({
  folder: z.string(),
  name: z.string(),
  kind: z.enum(['jpeg', 'raw', 'other']),
  bytes: z.number().nonnegative().nullable(),
});

export type CameraIdentity = z.infer<typeof cameraIdentitySchema>;
export type CameraStatus = z.infer<typeof cameraStatusSchema>;
export type FrameOnCamera = z.infer<typeof frameOnCameraSchema>;

/**
 * The causes a camera can fail for. `gone` and `asleep`: look for it again. `busy`: try again. `refused`: it won't take
 * that value. `unable`: it can't do that at all. `stopped`: the person stopped it. `lost`: a file is not there or came
 * through broken. `full`: no room on the card. `broken`: anything else.
 */
export const cameraFaultCauses = [
  'gone',
  'asleep',
  'busy',
  'refused',
  'unable',
  'stopped',
  'lost',
  'full',
  'broken',
] as const;
export type CameraFaultCause = (typeof cameraFaultCauses)[number];

/** A camera's failure, in one sentence for a person, with the cause for the program. */
export class CameraFault extends Error {
  override name = 'CameraFault';
  constructor(
    readonly reason: CameraFaultCause,
    message: string,
  ) {
    super(message);
  }
}

export type ExposeRequest = {
  /** Seconds, > 0: the length of the exposure, bulb where the shutter setting does not reach. */
  seconds: number;
  /** Aborting ends the exposure as soon as the camera can; `expose` then still resolves with the frames that exist. */
  signal: AbortSignal;
  onOpen(): void;
  onClose(): void;
};

/** Every camera kind (studio, inbox, libgphoto2) keeps this contract; tests/adapters/camera-contract.ts holds them to it. */
export type Camera = {
  readonly identity: CameraIdentity;
  status(): Promise<CameraStatus>;
  /**
   * Calls back whenever the status changes, also when the body's own dials were turned. `onFault` hears once when contact
   * is lost; the camera is then looked for again, and the listener hears when it is back. Returns the unsubscriber.
   */
  watch(listener: (status: CameraStatus) => void, onFault?: (fault: CameraFault) => void): () => void;
  /** Sets and reads back. A value that the camera does not take is a CameraFault `refused`. */
  set(change: Partial<Exposure>): Promise<CameraStatus>;
  focus(step: 'drive' | 'lock'): Promise<CameraStatus>;
  /**
   * Sees shortly before an exposure of so many seconds to whatever would make its opening late. What fails here is told by
   * `expose`, which does it again. Left out where there is nothing to see to.
   */
  arm?(seconds: number): Promise<void>;
  expose(request: ExposeRequest): Promise<FrameOnCamera[]>;
  /** Writes the whole file to `path` (which must not exist) or rejects; a rejected pull leaves no file at `path`. */
  pull(
    frame: FrameOnCamera,
    path: string,
    progress: (bytes: number, total: number) => void,
    signal: AbortSignal,
  ): Promise<void>;
  /**
   * Frames made since this moment (epoch milliseconds) that no `expose` has returned: made by hand on the body, or by
   * an exposure that was cut off. Used to fetch what a lost connection left behind.
   */
  strays(sinceMs: number): Promise<FrameOnCamera[]>;
  close(): Promise<void>;
};
