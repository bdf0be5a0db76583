import exifr from 'exifr';
import {z} from 'zod';
import {type Exposure, exposureSchema} from '../../../shared/exposure.js';

/** What a frame says about how and when it was taken. Values that can't be true are dropped. */
export type FrameExif = {takenAt: string | null; exposure: Exposure | null};

const none: FrameExif = {takenAt: null, exposure: null};

const tagsSchema = z
  .object({
    ExposureTime: z.unknown(),
    FNumber: z.unknown(),
    ShutterSpeedValue: z.unknown(),
    ApertureValue: z.unknown(),
    ISO: z.unknown(),
    ISOSpeedRatings: z.unknown(),
    PhotographicSensitivity: z.unknown(),
    DateTimeOriginal: z.unknown(),
    OffsetTimeOriginal: z.unknown(),
  })
  .partial();

const finite = (value: unknown): number | null => {
  const one = Array.isArray(value) || ArrayBuffer.isView(value) ? (value as ArrayLike<unknown>)[0] : value;
  return typeof one === 'number' && Number.isFinite(one) ? one : null;
};

const fromApex = (value: unknown, of: (apex: number) => number): number | null => {
  const apex = finite(value);
  return apex === null ? null : of(apex);
};

const datePattern = /^(\d{4}):(\d{2}):(\d{2}) (\d{2}):(\d{2}):(\d{2})$/;
const zonePattern = /^[+-]\d{2}:\d{2}$/;

/** "2026:11:25 21:04:09" and "+01:00" as ISO 8601; null where it is no date. */
const isoTime = (taken: unknown, zone: unknown): string | null => {
  const match = typeof taken === 'string' ? datePattern.exec(taken.replaceAll('\0', '').trim()) : null;
  if (!match) return null;
  const [, year, month, day, hour, minute, second] = match;
  const local = `${year}-${month}-${day}T${hour}:${minute}:${second}`;
  if (Number.isNaN(Date.parse(`${local}Z`))) return null;
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
        translateValues: false,
        reviveValues: false,
        pick: Object.keys(tagsSchema.shape),
      }),
    );
    if (!parsed.success) return none;
    const tags = parsed.data;
    // APEX: Tv = −log2 t, Av = 2·log2 N (Exif 2.32, annex C).
    const exposure = exposureSchema.safeParse({
      shutterSeconds: finite(tags.ExposureTime) ?? fromApex(tags.ShutterSpeedValue, tv => 2 ** -tv),
      fNumber: finite(tags.FNumber) ?? fromApex(tags.ApertureValue, av => 2 ** (av / 2)),
      iso: finite(tags.ISO) ?? finite(tags.PhotographicSensitivity) ?? finite(tags.ISOSpeedRatings),
    });
    return {
      takenAt: isoTime(tags.DateTimeOriginal, tags.OffsetTimeOriginal),
      exposure: exposure.success ? exposure.data : null,
    };
  } catch {
    return none;
  }
};
