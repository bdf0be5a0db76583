import type {Answer, CameraEvent, Setting} from '../messages.js';
import {bytesAt, type Pointer, release, SIZE, stableMemory, textAt} from './bindings.js';
import {describe} from './card.js';
import type {Connection} from './connection.js';
import {CODE} from './fault.js';
import {listed} from './lists.js';
import {giveValue, namesUnder, settingOf} from './widgets.js';

/** Kinds of event (gphoto2-camera.h). */
const EVENT = {other: 0, timeout: 1, file: 2, complete: 4, changed: 5};
const MOST_EVENTS_AT_ONCE = 64;
/** USB drivers wait this long for an event; on the network the driver returns at once. */
const EVENT_WAIT_MS = 50;
const NAME_BYTES = 128;

const nameAndFolder = (path: Buffer): {name: string; folder: string} => {
  const text = (from: number, to: number): string => {
    const field = path.subarray(from, to);
    const end = field.indexOf(0);
    return field.toString('utf8', 0, end < 0 ? field.length : end);
  };
  return {name: text(0, NAME_BYTES), folder: text(NAME_BYTES, SIZE.filePath)};
};

/** The names of the settings that this camera has. */
export const readNames = async (connection: Connection): Promise<string[]> => {
  const {library, context, camera} = connection.opened;
  const {code, entries} = await listed(library, list => library.cameraNames(camera, list, context));
  if (code >= 0 && entries.length > 0) return entries.map(entry => entry.name);
  const into: Pointer[] = [null];
  await connection.call(() => library.cameraConfig(camera, into, context));
  try {
    return namesUnder(library, into[0]!);
  } finally {
    library.widgetFree(into[0]!);
  }
};

const withWidget = async <Result>(
  connection: Connection,
  name: string,
  use: (widget: Pointer) => Result | Promise<Result>,
): Promise<Result> => {
  const {library, context, camera} = connection.opened;
  const into: Pointer[] = [null];
  await connection.call(() => library.cameraRead(camera, name, into, context));
  try {
    return await use(into[0]!);
  } finally {
    library.widgetFree(into[0]!);
  }
};

/** Reads one setting; null where this camera has none of that name, or can't tell it now. */
export const readSetting = async (connection: Connection, name: string): Promise<Setting | null> => {
  const {library, context, camera} = connection.opened;
  const into: Pointer[] = [null];
  const code = await connection.call(
    () => library.cameraRead(camera, name, into, context),
    [CODE.badParameters, CODE.notSupported],
  );
  if (code < 0) return null;
  try {
    return settingOf(library, into[0]!, name);
  } finally {
    library.widgetFree(into[0]!);
  }
};

/** Gives a setting a value. Whether the camera took it shows only when it is read again. */
export const writeSetting = (connection: Connection, name: string, value: string | number): Promise<void> =>
  withWidget(connection, name, async widget => {
    const {library, context, camera} = connection.opened;
    await connection.call(() => giveValue(library, widget, value));
    await connection.call(() => library.cameraWrite(camera, name, widget, context));
  });

/** What the driver says of the camera in one text. */
export const readSummary = async (connection: Connection): Promise<string> => {
  const {library, context, camera} = connection.opened;
  const memory = stableMemory(SIZE.summary);
  try {
    memory.bytes.fill(0);
    await connection.call(() => library.cameraSummary(camera, memory.pointer, context));
    return textAt(memory.pointer);
  } finally {
    memory.free();
  }
};

/** Releases the shutter. A driver that has no bare release takes the picture in one go and names the file. */
export const trigger = async (connection: Connection): Promise<Answer<'trigger'>> => {
  const {library, context, camera} = connection.opened;
  const code = await connection.call(() => library.cameraTrigger(camera, context), [CODE.notSupported]);
  if (code >= 0) return {file: null};
  const memory = stableMemory(SIZE.filePath);
  try {
    memory.bytes.fill(0);
    await connection.call(() => library.cameraCapture(camera, 0, memory.pointer, context));
    const {folder, name} = nameAndFolder(memory.bytes);
    return {file: await describe(connection, folder, name)};
  } finally {
    memory.free();
  }
};

const eventOf = async (connection: Connection, type: number, data: Pointer): Promise<CameraEvent | null> => {
  if (type === EVENT.complete) return {event: 'complete'};
  if (data === null) return null;
  if (type === EVENT.file) {
    const {folder, name} = nameAndFolder(bytesAt(data, SIZE.filePath));
    return {event: 'file', file: await describe(connection, folder, name)};
  }
  return type === EVENT.other ? {event: 'other', text: textAt(data).slice(0, 2000)} : null;
};

/** Hands on every event that waits. @throws LibraryFault when the camera is gone */
export const readEvents = async (connection: Connection, tell: (event: CameraEvent) => void): Promise<void> => {
  const {library, context, camera} = connection.opened;
  for (let count = 0; count < MOST_EVENTS_AT_ONCE; count += 1) {
    const type = [EVENT.timeout];
    const data: Pointer[] = [null];
    await connection.call(() => library.cameraEvent(camera, EVENT_WAIT_MS, type, data, context));
    if (type[0] === EVENT.timeout) return;
    const event = await eventOf(connection, type[0]!, data[0]!);
    release(data[0]!);
    if (event !== null) tell(event);
  }
};
