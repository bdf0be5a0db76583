import {type Camera, CameraFault, type FrameOnCamera} from '../../shared/camera.js';
import {Writer} from './bytes.js';
import {type Card, STORAGE_ID} from './card.js';
import {EVENT, FORMAT, OPERATION, PROPERTY, RESPONSE} from './codes.js';
import {type Dialect, dialects, VENDOR_OPERATION, vendorEvents} from './dialects.js';
import {changeOf, describeProperty} from './properties.js';

export type Answer = {code: number; parameters?: number[]; data?: Buffer};

export type Habits = {
  dialect: Dialect;
  /** Properties and operations that this camera leaves out. */
  without: readonly number[];
  lacking: readonly number[];
  /** How far the camera's clock is ahead, milliseconds. */
  clockSkewMs: number;
  /** Whether it says "done" before it names the files, as some bodies do. */
  completeFirst: boolean;
  /** Whether it says nothing at all when an exposure is over. */
  silentAfterExposure: boolean;
  maker: string;
  model: string;
  serial: string;
};

const REFUSED_AT_ONCE_MS = 40;
const LONGEST_BULB_SECONDS = 3600;

const codeOfFault = (fault: unknown): number => {
  if (!(fault instanceof CameraFault)) return RESPONSE.generalError;
  if (fault.reason === 'busy') return RESPONSE.busy;
  if (fault.reason === 'full') return RESPONSE.storeFull;
  if (fault.reason === 'refused') return RESPONSE.invalidValue;
  return RESPONSE.generalError;
};

const ok = (parameters: number[] = []): Answer => ({code: RESPONSE.ok, parameters});
const withData = (data: Buffer, parameters: number[] = []): Answer => ({code: RESPONSE.ok, data, parameters});
const refuse = (code: number): Answer => ({code});

/** Carries out operations on the camera behind; tells its events through `tell`. */
export const createOperations = (
  camera: Camera,
  card: Card,
  habits: Habits,
  tell: (code: number, parameters: number[]) => void,
) => {
  let exposing: {stop: AbortController; done: Promise<void>} | null = null;
  let bulbSet = false;
  let openCapture: number | null = null;
  /** Files of which this dialect tells only when it is asked. */
  const untold: number[] = [];
  const dialect = () => dialects[habits.dialect];
  const properties = () => Object.values(PROPERTY).filter(code => !habits.without.includes(code));

  const finish = async (frames: FrameOnCamera[]): Promise<void> => {
    const handles: number[] = [];
    for (const frame of frames) handles.push(await card.add(frame));
    if (habits.silentAfterExposure) return;
    if (habits.completeFirst) tell(EVENT.captureComplete, []);
    untold.push(...handles);
    for (const handle of handles) tell(EVENT.objectAdded, [handle]);
    if (!habits.completeFirst) tell(EVENT.captureComplete, []);
  };

  /** Opens the shutter. @returns the answer: a refusal that comes at once, or ok while the exposure goes on */
  const expose = async (seconds: number): Promise<Answer> => {
    if (exposing !== null) return refuse(RESPONSE.busy);
    const stop = new AbortController();
    const opened = camera.expose({seconds, signal: stop.signal, onOpen: () => undefined, onClose: () => undefined});
    let refused: unknown = null;
    const done = opened.then(finish).catch(fault => {
      refused = fault;
      if (fault instanceof CameraFault && fault.reason === 'full') tell(EVENT.storeFull, [STORAGE_ID]);
    });
    exposing = {stop, done: done.finally(() => (exposing = null))};
    await Promise.race([done, new Promise(resolve => setTimeout(resolve, REFUSED_AT_ONCE_MS))]);
    return refused === null ? ok() : refuse(codeOfFault(refused));
  };

  const exposeAsSet = async (): Promise<Answer> => {
    const {exposure} = await camera.status();
    return expose(exposure?.shutterSeconds ?? 1);
  };

  const deviceInfo = (): Buffer =>
    new Writer()
      .u16(100)
      .u32(dialect().vendorExtension)
      .u16(100)
      .text('')
      .u16(0)
      .list16([...Object.values(OPERATION), ...dialect().operations].filter(code => !habits.lacking.includes(code)))
      .list16(Object.values(EVENT))
      .list16(properties())
      .list16([FORMAT.jpeg])
      .list16([FORMAT.jpeg, FORMAT.undefined, FORMAT.folder])
      .text(habits.maker)
      .text(habits.model)
      .text('1.0')
      .text(habits.serial)
      .done();

  const setProperty = async (code: number, bytes: Buffer): Promise<Answer> => {
    if (!properties().some(one => one === code)) return refuse(RESPONSE.propertyNotSupported);
    const change = changeOf(code, bytes);
    if (change === null) return refuse(RESPONSE.invalidValue);
    if (change === 'nothing') return ok();
    if ('bulb' in change) {
      bulbSet = dialect().bulbTime;
      return bulbSet ? ok() : refuse(RESPONSE.invalidValue);
    }
    try {
      if ('focus' in change) await (change.focus === 'manual' ? camera.focus('lock') : Promise.resolve());
      else await camera.set(change.exposure);
    } catch (fault) {
      return refuse(codeOfFault(fault));
    }
    if ('exposure' in change && change.exposure.shutterSeconds !== undefined) bulbSet = false;
    return ok();
  };

  const property = async (code: number): Promise<Answer> => {
    const described = describeProperty(code, await camera.status(), {
      has: properties(),
      bulb: {offered: dialect().bulbTime, set: bulbSet},
      clockSkewMs: () => habits.clockSkewMs,
    });
    return described === null ? refuse(RESPONSE.propertyNotSupported) : withData(described);
  };

  const part = async (handle: number, from: number, length: number): Promise<Answer> => {
    const bytes = await card.bytes(handle);
    if (bytes === null) return refuse(RESPONSE.invalidObject);
    const slice = bytes.subarray(from, Math.min(bytes.length, from + length));
    return withData(slice, [slice.length]);
  };

  const info = (handle: number): Answer => {
    const found = card.info(handle);
    return found === null ? refuse(RESPONSE.invalidObject) : withData(found);
  };

  const storage = async (): Promise<Answer> => {
    const {freeBytes, freeFrames} = await camera.status();
    return withData(card.storage(freeBytes, freeFrames));
  };

  const endExposure = (): Answer => {
    exposing?.stop.abort();
    openCapture = null;
    return ok();
  };

  const vendor = async (code: number, parameters: number[]): Promise<Answer> => {
    if (!dialect().operations.includes(code)) return refuse(RESPONSE.operationNotSupported);
    switch (code) {
      case VENDOR_OPERATION.ready:
        return refuse(exposing === null || bulbSet ? RESPONSE.ok : RESPONSE.busy);
      case VENDOR_OPERATION.capture:
        return bulbSet ? expose(LONGEST_BULB_SECONDS) : exposeAsSet();
      case VENDOR_OPERATION.endBulb:
        return endExposure();
      case VENDOR_OPERATION.focus:
        return camera.focus('drive').then(
          () => ok(),
          fault => refuse(codeOfFault(fault)),
        );
      case VENDOR_OPERATION.release:
        return (parameters[0] ?? 0) === 3 ? expose(LONGEST_BULB_SECONDS) : ok();
      case VENDOR_OPERATION.releaseEnd:
        return (parameters[0] ?? 0) === 3 ? endExposure() : ok();
      case VENDOR_OPERATION.events:
        return withData(vendorEvents(untold.splice(0).map(handle => ({handle, info: card.info(handle)!}))));
      default:
        return dialect().answer(code);
    }
  };

  return {
    async carryOut(code: number, parameters: number[], sent: Buffer, transaction: number): Promise<Answer> {
      const [first = 0, second = 0, third = 0] = parameters;
      switch (code) {
        case OPERATION.getDeviceInfo:
          return withData(deviceInfo());
        case OPERATION.openSession:
        case OPERATION.closeSession:
          return ok();
        case OPERATION.getStorageIds:
          return withData(new Writer().list32([STORAGE_ID]).done());
        case OPERATION.getStorageInfo:
          return storage();
        case OPERATION.getObjectHandles:
          return withData(new Writer().list32(card.handles(third)).done());
        case OPERATION.getObjectInfo:
          return info(first);
        case OPERATION.getObject:
          return part(first, 0, Number.MAX_SAFE_INTEGER);
        case OPERATION.getPartialObject:
          return part(first, second, third);
        case OPERATION.getThumb:
          return refuse(RESPONSE.invalidObject);
        case OPERATION.deleteObject:
          return refuse(RESPONSE.accessDenied);
        case OPERATION.initiateCapture:
          return exposeAsSet();
        case OPERATION.initiateOpenCapture:
          openCapture = transaction;
          return expose(LONGEST_BULB_SECONDS);
        case OPERATION.terminateOpenCapture:
          return openCapture === null ? refuse(RESPONSE.generalError) : endExposure();
        case OPERATION.getPropertyDescription:
          return property(first);
        case OPERATION.setPropertyValue:
          return setProperty(first, sent);
        default:
          return vendor(code, parameters);
      }
    },
    /** As if somebody had pressed the release on the body. */
    byHand: exposeAsSet,
    /** As if somebody had turned a dial. */
    turned: (property: number): void => tell(EVENT.propertyChanged, [property]),
    /** Waits until no exposure is going on. */
    idle: async (): Promise<void> => exposing?.done,
    /** Ends an exposure that is going on. */
    end: async (): Promise<void> => {
      endExposure();
      await exposing?.done;
    },
  };
};

export type Operations = ReturnType<typeof createOperations>;
