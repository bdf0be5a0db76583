import {plainText} from '../../shared/plain-text.js';
import {cameraFaultOf} from './faults.js';
import {libraryNames} from './hint.js';
import type {Answer} from './messages.js';
import {startWorker} from './worker.js';

export type FoundCamera = {
  /** Plain text. */
  model: string;
  /** What --camera and openGphoto2 take: "usb:001,004". */
  port: string;
};

export type FindOptions = {
  log?(line: string): void;
  environment?: Record<string, string>;
  libraries?: [string, string][];
};

const LOAD_LIMIT_MS = 30_000;
const DETECT_LIMIT_MS = 30_000;

/**
 * Looks what the library is and which cameras hang on USB. Network cameras don't announce themselves.
 * @throws CameraFault `unable` without the library
 */
export const lookForCameras = async (
  options: FindOptions = {},
): Promise<{library: Answer<'load'>; cameras: FoundCamera[]}> => {
  const worker = startWorker({
    log: options.log ?? (() => undefined),
    environment: options.environment ?? {},
    onEvent: () => undefined,
    onEnd: () => undefined,
  });
  try {
    const libraries = options.libraries ?? libraryNames(process.platform);
    const library = await worker.call<'load'>({do: 'load', libraries}, {limitMs: LOAD_LIMIT_MS}).answer;
    const {cameras} = await worker.call<'detect'>({do: 'detect'}, {limitMs: DETECT_LIMIT_MS}).answer;
    return {library, cameras: cameras.map(({model, port}) => ({model: plainText(model), port: plainText(port)}))};
  } catch (fault) {
    throw cameraFaultOf(fault, 'usb', 'be looked for', false);
  } finally {
    await worker.end();
  }
};

/** The cameras that hang on USB. @throws CameraFault `unable` without the library */
export const findCameras = async (options: FindOptions = {}): Promise<FoundCamera[]> =>
  (await lookForCameras(options)).cameras;
