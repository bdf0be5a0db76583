import type {CameraStatus} from '../../shared/camera.js';
import {type Readings, readDials} from './dials.js';
import type {Storage} from './messages.js';
import type {Session} from './session.js';
import {statusOf} from './status.js';
import {formatOf} from './values.js';

const ROOM_FOR_MS = 20_000;
const CLOCK_FOR_MS = 60_000;

/** Something that is read now and then, and kept in between. */
const keptFor = <Value>(forMs: number, read: () => Promise<Value>) => {
  let kept: {value: Value; atMs: number} | null = null;
  return {
    async get(): Promise<Value> {
      if (kept === null || performance.now() - kept.atMs > forMs) kept = {value: await read(), atMs: performance.now()};
      return kept.value;
    },
    forget(): void {
      kept = null;
    },
  };
};

/** Reads the camera's status, and remembers what the camera itself doesn't show. */
export const createReader = (session: Session) => {
  let last: CameraStatus | null = null;
  let formatSeen: CameraStatus['format'] | null = null;
  let remarks: string[] = [];
  let lockedByUs = false;
  let bulb: {seconds: number; dial: unknown} | null = null;
  let bulbWanted: number | null = null;
  let formatTold: CameraStatus['format'] = 'unknown';

  const room = keptFor<Storage[]>(ROOM_FOR_MS, () =>
    session.ask<'storages'>({do: 'storages'}, 'tell the room on its card').then(
      answer => answer.storages,
      // Many drivers can't tell; a camera that has gone shows with the next question.
      () => [],
    ),
  );
  const clockDifference = keptFor<number | null>(CLOCK_FOR_MS, async () => {
    const {clock} = await readDials(session, ['clock']);
    if (typeof clock?.value !== 'number' || clock.value <= 0) return null;
    // It counts whole seconds: on average half of one has gone by.
    const difference = Math.round(clock.value + 0.5 - Date.now() / 1000);
    return difference === 0 ? 0 : difference;
  });

  /** A bulb time holds until somebody turns the shutter dial. */
  const bulbSecondsFor = (readings: Readings): number | null => {
    const dial = readings.shutter?.value;
    if (bulbWanted !== null) {
      bulb = {seconds: bulbWanted, dial};
      bulbWanted = null;
    }
    if (bulb !== null && bulb.dial !== dial) bulb = null;
    return bulb?.seconds ?? null;
  };

  return {
    /** What was read last; null before the first time. */
    get last(): CameraStatus | null {
      return last;
    },
    /** Which files an exposure will make, where that is sure enough to wait for no others. */
    get expected(): CameraStatus['format'] {
      return formatTold === 'unknown' && formatSeen === 'raw+jpeg' ? formatSeen : formatTold;
    },
    /** @throws CameraFault */
    async read(): Promise<CameraStatus> {
      const facts = await session.ready();
      const readings = await readDials(session);
      formatTold = formatOf(String(readings.format?.value ?? ''));
      last = statusOf(readings, {
        facts,
        storages: await room.get(),
        clockDifferenceSeconds: await clockDifference.get(),
        bulbSeconds: bulbSecondsFor(readings),
        formatSeen,
        lockedByUs,
        remarks,
      });
      return last;
    },
    /** Remembers what an exposure has shown. */
    learn(format: CameraStatus['format'], said: readonly (string | null)[]): void {
      formatSeen = format;
      remarks = said.filter(remark => remark !== null);
      room.forget();
    },
    holdFocus(locked: boolean): void {
      lockedByUs = locked;
    },
    /** The shutter dial does not reach this time: it will be held open. null: the dial counts again. */
    holdBulb(seconds: number | null): void {
      bulbWanted = seconds;
      bulb = null;
    },
    /** Another connection may find another card and another clock. */
    forget(): void {
      room.forget();
      clockDifference.forget();
    },
  };
};
