import type {CameraStatus} from '../../shared/camera.js';
import type {Exposure} from '../../shared/exposure.js';
import {nominalFNumbers, nominalIsos, nominalShutters} from '../../src/light/nominal.js';
import {readText, Writer} from './bytes.js';
import {ptpDate} from './card.js';
import {PROPERTY, TYPE} from './codes.js';

/** What the dials carry: a thousandth of a second to half a minute; anything longer is bulb. */
const shutterSteps = nominalShutters()
  .map(step => step.marked)
  .filter(seconds => seconds >= 1 / 1000);
const apertureSteps = nominalFNumbers()
  .map(step => step.marked)
  .filter(fNumber => fNumber >= 1.4 && fNumber <= 22);
const isoSteps = nominalIsos()
  .map(step => step.marked)
  .filter(iso => iso <= 25_600);

const tenthMilliseconds = (seconds: number): number => Math.max(1, Math.round(seconds * 10_000));
const hundredths = (fNumber: number): number => Math.round(fNumber * 100);

const MANUAL = 1;
/** As a camera writes "bulb" into its exposure time. */
export const BULB_TIME = 0xffffffff;

const enumeration = (writer: Writer, values: readonly number[], write: (value: number) => void): Buffer => {
  writer.u8(2).u16(values.length);
  for (const value of values) write(value);
  return writer.done();
};

const withCurrent = (values: readonly number[], current: number): number[] =>
  [...new Set([...values, current])].sort((a, b) => a - b);

const whole = (code: number, type: number, settable: boolean, current: number, values: readonly number[]): Buffer => {
  const writer = new Writer()
    .u16(code)
    .u16(type)
    .u8(settable ? 1 : 0);
  const write = (value: number): void => {
    if (type === TYPE.uint8) writer.u8(value);
    else if (type === TYPE.uint16) writer.u16(value);
    else writer.u32(value);
  };
  write(current);
  write(current);
  return enumeration(writer, values, write);
};

const formatNumbers: Record<CameraStatus['format'], number> = {
  jpeg: 0x02,
  raw: 0x04,
  'raw+jpeg': 0x07,
  other: 0x09,
  unknown: 0x02,
};

export type PropertyOptions = {
  /** Which properties the camera has at all. */
  has: readonly number[];
  /** Whether the shutter time can be "bulb", and whether it is set to that. */
  bulb: {offered: boolean; set: boolean};
  clockSkewMs(): number;
};

const fallback: Exposure = {shutterSeconds: 8, fNumber: 8, iso: 100};

/** Describes one property: its kind, whether it can be set, its value, and the values that it can take. */
export const describeProperty = (code: number, status: CameraStatus, options: PropertyOptions): Buffer | null => {
  if (!options.has.includes(code)) return null;
  const exposure = status.exposure ?? fallback;
  switch (code) {
    case PROPERTY.battery: {
      const writer = new Writer().u16(code).u16(TYPE.uint8).u8(0).u8(100);
      return writer
        .u8(status.batteryPercent ?? 0)
        .u8(1)
        .u8(1)
        .u8(100)
        .u8(1)
        .done();
    }
    case PROPERTY.compression: {
      const current = formatNumbers[status.format];
      return whole(code, TYPE.uint8, true, current, withCurrent([0x02, 0x04, 0x07], current));
    }
    case PROPERTY.fNumber: {
      const current = hundredths(exposure.fNumber);
      return whole(code, TYPE.uint16, true, current, withCurrent(apertureSteps.map(hundredths), current));
    }
    case PROPERTY.focusMode:
      return whole(code, TYPE.uint16, true, status.focusMode === 'auto' ? 2 : MANUAL, [MANUAL, 2]);
    case PROPERTY.exposureTime: {
      const steps = shutterSteps.map(tenthMilliseconds);
      const current = options.bulb.set ? BULB_TIME : tenthMilliseconds(exposure.shutterSeconds);
      const offered = options.bulb.offered ? [...steps, BULB_TIME] : steps;
      return whole(code, TYPE.uint32, true, current, withCurrent(offered, current));
    }
    case PROPERTY.program:
      return whole(code, TYPE.uint16, false, MANUAL, [MANUAL]);
    case PROPERTY.iso:
      return whole(code, TYPE.uint16, true, exposure.iso, withCurrent(isoSteps, exposure.iso));
    case PROPERTY.dateTime: {
      const now = ptpDate(new Date(Date.now() + options.clockSkewMs()));
      return new Writer().u16(code).u16(TYPE.text).u8(1).text(now).text(now).u8(0).done();
    }
    default:
      return null;
  }
};

/** What a new value of a property means for the camera behind. null: a value that it can't take. */
export const changeOf = (
  code: number,
  bytes: Buffer,
): {exposure: Partial<Exposure>} | {focus: 'manual' | 'auto'} | {bulb: true} | 'nothing' | null => {
  switch (code) {
    case PROPERTY.exposureTime: {
      if (bytes.length < 4) return null;
      const value = bytes.readUInt32LE(0);
      if (value === BULB_TIME) return {bulb: true};
      const step = shutterSteps.find(seconds => tenthMilliseconds(seconds) === value);
      return {exposure: {shutterSeconds: step ?? value / 10_000}};
    }
    case PROPERTY.fNumber:
      return bytes.length < 2 ? null : {exposure: {fNumber: bytes.readUInt16LE(0) / 100}};
    case PROPERTY.iso:
      return bytes.length < 2 ? null : {exposure: {iso: bytes.readUInt16LE(0)}};
    case PROPERTY.focusMode:
      return bytes.length < 2 ? null : {focus: bytes.readUInt16LE(0) === MANUAL ? 'manual' : 'auto'};
    case PROPERTY.dateTime:
      return readText(bytes) === '' ? null : 'nothing';
    case PROPERTY.compression:
    case PROPERTY.program:
      return 'nothing';
    default:
      return null;
  }
};
