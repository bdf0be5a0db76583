/** The library refused or failed: its code, and the first reason that the driver gave. */
export class LibraryFault extends Error {
  override name = 'LibraryFault';
  constructor(
    readonly code: number,
    readonly said: string,
    /** Whether the call took about as long as the driver waits for a silent camera. */
    readonly slow: boolean,
  ) {
    super(`${said} (${code})`);
  }
}

/** Result codes of libgphoto2 that we tell apart (gphoto2-port-result.h, gphoto2-result.h). */
export const CODE = {
  ok: 0,
  error: -1,
  badParameters: -2,
  notSupported: -6,
  io: -7,
  timeout: -10,
  noSuchCamera: -105,
  fileNotFound: -108,
  busy: -110,
  cancelled: -112,
  /** This machine's own disk, not the camera. */
  disk: -114,
} as const;

/** The driver gives up on a silent peer after 2.5 s; anything near that was silence, not an answer. */
export const SLOW_MS = 2000;
