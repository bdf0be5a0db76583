import exifr from 'exifr';
import {z} from 'zod';
import {type Exposure, exposureSchema} from '../../../shared/exposure.js';

/** What a frame says about how and when it was taken. Values that can't be true are dropped. */
export type FrameExif = {takenAt: string | null; exposure: Exposure | null};

const none: FrameExif = {takenAt: null, exposure: null};

/** Tags by their numbers (Exif 2.32, 4.6): some files hold them where a reader would not know their names. */
const TAG = {
  exposureTime: 33434,
  fNumber: 33437,
  photographicSensitivity: 34855,
  dateTimeOriginal: 36867,
  offsetTimeOriginal: 36881,
  shutterSpeedValue: 37377,
  apertureValue: 37378,
} as const;

const tagsSchema = z.record(z.string(), z.unknown());

const finite = (value: unknown): number | null => {
  const one = Array.isArray(value) || ArrayBuffer.isView(value) ? (value as ArrayLike<unknown>)[0] : value;
  return typeof one === 'number' && Number.isFinite(one) ? one : null;
};

const fromApex = (value: unknown, of: (apex: number) => number): number | null => {
  const apex = finite(value);
  return apex === null ? null : of(apex);
};

const datePattern = /^(\d{4}):(\d{2}):(\d{2}) (\d{2}):(\d{2}):(\d{2})$/;
const zonePattern = /^[+-](?:0\d|1[0-4]):[0-5]\d$/;

/** Whether a day and time are in the calendar; Date takes the 31st of February for the 3rd of March. */
const isInCalendar = (local: string): boolean => {
  const ms = Date.parse(`${local}Z`);
  return !Number.isNaN(ms) && new Date(ms).toISOString().startsWith(local);
};

/** "2026:11:25 21:04:09" and "+01:00" as ISO 8601; null where it is no date. */
const isoTime = (taken: unknown, zone: unknown): string | null => {
  const match = typeof taken === 'string' ? datePattern.exec(taken.replaceAll('\0', '').trim()) : null;
  if (!match) return null;
  const [, year, month, day, hour, minute, second] = match;
  const local = `${year}-${month}-${day}T${hour}:${minute}:${second}`;
  if (!isInCalendar(local)) return null;
  const offset = typeof zone === 'string' ? zone.replaceAll('\0', '').trim() : '';
  return zonePattern.test(offset) ? `${local}${offset}` : local;
};

/**
 * Exposure and time from a file's Exif tags (Exif 2.32: ExposureTime, FNumber, PhotographicSensitivity, and the APEX
 * values where the plain ones are missing). Never throws: a damaged block is one without tags.
 */
export const readExif = async (bytes: Buffer): Promise<FrameExif> => {
  try {
    const parsed = tagsSchema.safeParse(
      await exifr.parse(bytes, {
        tiff: true,
        exif: true,
        gps: false,
        interop: false,
        xmp: false,
        icc: false,
        iptc: false,
        jfif: false,
        translateKeys: false,
        translateValues: false,
        reviveValues: false,
      }),
    );
    if (!parsed.success) return none;
    const tags = parsed.data;
    // APEX: Tv = −log2 t, Av = 2·log2 N (Exif 2.32, annex C).
    const exposure = exposureSchema.safeParse({
      shutterSeconds: finite(tags[TAG.exposureTime]) ?? fromApex(tags[TAG.shutterSpeedValue], tv => 2 ** -tv),
      fNumber: finite(tags[TAG.fNumber]) ?? fromApex(tags[TAG.apertureValue], av => 2 ** (av / 2)),
      iso: finite(tags[TAG.photographicSensitivity]),
    });
    return {
      takenAt: isoTime(tags[TAG.dateTimeOriginal], tags[TAG.offsetTimeOriginal]),
      exposure: exposure.success ? exposure.data : null,
    };
  } catch {
    return none;
  }
};
