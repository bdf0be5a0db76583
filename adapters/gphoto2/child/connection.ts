import {closeSync, openSync} from 'node:fs';
import type {Answer, CameraSeen} from '../messages.js';
import {type Gphoto2, type Pointer, SIZE} from './bindings.js';
import {CODE, LibraryFault, SLOW_MS} from './fault.js';
import {listed} from './lists.js';
import {textFrom} from './widgets.js';

/** Operation bits of CameraAbilities (gphoto2-abilities-list.h) and where they stand in the structure. */
const OPERATIONS_AT = 392;
const OPERATION = {capture: 1, configure: 16, trigger: 32};

const NETWORK_MODEL = 'PTP/IP Camera';
const connectionNames: Record<string, string> = {usb: 'USB', ptpip: 'network', serial: 'serial', disk: 'disk'};

/** What every call on the camera needs. */
export type Open = {library: Gphoto2; context: Pointer; camera: Pointer};

/** The driver closes descriptor 0 when it leaves a network camera; nothing else of ours may land there. */
const keepInputClosed = (): void => {
  if (process.platform === 'win32') return;
  const descriptor = openSync('/dev/null', 'r');
  if (descriptor !== 0) closeSync(descriptor);
};

/** Holds the library and at most one camera. */
export const createConnection = (library: Gphoto2) => {
  const context = library.newContext();
  const reasons: string[] = [];
  library.onReason(context, text => reasons.push(text));
  let camera: Pointer = null;
  let drivers: Promise<Pointer> | null = null;

  /** Waits for one call; a negative code, but for the expected ones, becomes a fault with the driver's first reason. */
  const call = async (work: () => Promise<number> | number, expected: readonly number[] = []): Promise<number> => {
    reasons.length = 0;
    const begun = performance.now();
    const code = await work();
    if (code >= 0 || expected.includes(code)) return code;
    throw new LibraryFault(code, reasons[0] ?? library.resultText(code), performance.now() - begun >= SLOW_MS);
  };

  const pointerFrom = (make: (into: Pointer[]) => number): Pointer => {
    const into: Pointer[] = [null];
    const code = make(into);
    if (code < 0) throw new LibraryFault(code, library.resultText(code), false);
    return into[0]!;
  };

  const loadDrivers = (): Promise<Pointer> => {
    drivers ??= (async () => {
      const list = pointerFrom(into => library.abilitiesNew(into));
      await call(() => library.abilitiesLoad(list, context));
      return list;
    })();
    return drivers;
  };

  const withPorts = async <Result>(use: (ports: Pointer) => Promise<Result>): Promise<Result> => {
    const ports = pointerFrom(into => library.portsNew(into));
    try {
      await call(() => library.portsLoad(ports));
      return await use(ports);
    } finally {
      library.portsFree(ports);
    }
  };

  const seenOn = async (ports: Pointer): Promise<CameraSeen[]> => {
    const list = await loadDrivers();
    const {code, entries} = await listed(library, found => library.abilitiesDetect(list, ports, found, context));
    if (code < 0) throw new LibraryFault(code, reasons[0] ?? library.resultText(code), false);
    return entries
      .filter(entry => entry.value.startsWith('usb:'))
      .map(entry => ({model: entry.name, port: entry.value}));
  };

  const pick = async (ports: Pointer, port: string | null, model: string | null): Promise<CameraSeen> => {
    if (port !== null && !port.startsWith('usb:')) return {port, model: model ?? NETWORK_MODEL};
    const seen = await seenOn(ports);
    // A camera that was plugged in again has another address, but it is still the same model.
    const found =
      seen.find(one => one.port === port) ?? seen.find(one => (model === null ? port === null : one.model === model));
    if (found === undefined) throw new LibraryFault(CODE.noSuchCamera, 'No such camera on USB', false);
    return found;
  };

  const abilitiesOf = async (model: string): Promise<Buffer> => {
    const list = await loadDrivers();
    const index = library.abilitiesLookup(list, model);
    if (index < 0) throw new LibraryFault(index, `No driver for ${model}`, false);
    const bytes = Buffer.alloc(SIZE.abilities);
    const code = library.abilitiesGet(list, index, bytes);
    if (code < 0) throw new LibraryFault(code, library.resultText(code), false);
    return bytes;
  };

  const leave = async (): Promise<void> => {
    const leaving = camera;
    camera = null;
    if (leaving === null) return;
    await library.cameraExit(leaving, context);
    library.cameraUnref(leaving);
    keepInputClosed();
  };

  return {
    call,
    pointerFrom,

    async about(): Promise<Answer<'load'>> {
      const list = await loadDrivers();
      const connections = await withPorts(async ports => {
        const names = Array.from({length: Math.max(0, library.portsCount(ports))}, (_, index) => {
          const info = pointerFrom(into => library.portsGet(ports, index, into));
          return textFrom(into => library.portPath(info, into)).replace(/:.*$/, '');
        });
        return [...new Set(names)].map(name => connectionNames[name] ?? name);
      });
      return {version: library.version(), models: library.abilitiesCount(list), connections};
    },

    detect: (): Promise<CameraSeen[]> => withPorts(seenOn),

    /** Connects; a connection that is there already is left first. */
    async open(port: string | null, model: string | null): Promise<Answer<'open'>> {
      await leave();
      return withPorts(async ports => {
        const found = await pick(ports, port, model);
        const abilities = await abilitiesOf(found.model);
        const index = library.portsLookup(ports, found.port);
        if (index < 0) throw new LibraryFault(index, `No way to reach ${found.port}`, false);
        const info = pointerFrom(into => library.portsGet(ports, index, into));
        const opening = pointerFrom(into => library.cameraNew(into));
        library.cameraSetAbilities(opening, {bytes: abilities});
        library.cameraSetPort(opening, info);
        try {
          await call(() => library.cameraInit(opening, context));
        } catch (fault) {
          library.cameraUnref(opening);
          keepInputClosed();
          throw fault;
        }
        camera = opening;
        const operations = abilities.readInt32LE(OPERATIONS_AT);
        const can = (bit: number): boolean => (operations & bit) !== 0;
        return {
          ...found,
          can: {
            capture: can(OPERATION.capture),
            trigger: can(OPERATION.trigger),
            configure: can(OPERATION.configure),
          },
        };
      });
    },

    /** The camera that is open. @throws LibraryFault without one */
    get opened(): Open {
      if (camera === null) throw new LibraryFault(CODE.noSuchCamera, 'No camera is open', false);
      return {library, context, camera};
    },

    leave,
  };
};

export type Connection = ReturnType<typeof createConnection>;
