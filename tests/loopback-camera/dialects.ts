import {RESPONSE} from './codes.js';

/*
 * Makers add operations of their own to the protocol, under numbers from 0x9000 on. The loopback camera speaks just
 * enough of two such sets that the library offers the settings which it builds on them. The numbers are those of the
 * library's public header camlibs/ptp2/ptp.h.
 */

export const VENDOR_OPERATION = {
  focus: 0x90c1,
  changeMode: 0x90c2,
  ready: 0x90c8,
  capture: 0x9207,
  endBulb: 0x920c,
  release: 0x9128,
  releaseEnd: 0x9129,
  remoteMode: 0x9114,
  eventMode: 0x9115,
  events: 0x9116,
  storageIds: 0x9101,
  storageInfo: 0x9102,
} as const;

export type Dialect = 'plain' | 'toggle' | 'release';

type DialectFacts = {
  vendorExtension: number;
  operations: readonly number[];
  /** Whether the shutter time can be "bulb". */
  bulbTime: boolean;
  answer(code: number): {code: number; data?: Buffer};
};

const okay = {code: RESPONSE.ok};

export const dialects: Record<Dialect, DialectFacts> = {
  /** The standard and nothing else: bulb is the standard's open capture. */
  plain: {vendorExtension: 0, operations: [], bulbTime: false, answer: () => ({code: RESPONSE.operationNotSupported})},
  /** Bulb is a switch, and the release does not come back before the exposure is over. */
  toggle: {
    vendorExtension: 0x0a,
    operations: [
      VENDOR_OPERATION.focus,
      VENDOR_OPERATION.changeMode,
      VENDOR_OPERATION.ready,
      VENDOR_OPERATION.capture,
      VENDOR_OPERATION.endBulb,
    ],
    bulbTime: true,
    answer: () => okay,
  },
  /** Bulb is a release that is pressed and let go. */
  release: {
    vendorExtension: 0x0b,
    operations: [
      VENDOR_OPERATION.release,
      VENDOR_OPERATION.releaseEnd,
      VENDOR_OPERATION.remoteMode,
      VENDOR_OPERATION.eventMode,
      VENDOR_OPERATION.events,
      VENDOR_OPERATION.storageIds,
      VENDOR_OPERATION.storageInfo,
    ],
    bulbTime: false,
    answer: code => {
      if (code === VENDOR_OPERATION.storageIds) return {...okay, data: Buffer.alloc(4)};
      if (code === VENDOR_OPERATION.storageInfo) return {...okay, data: Buffer.alloc(16)};
      return okay;
    },
  },
};

const OBJECT_ADDED = 0xc181;
const NAME_AT = 0x28;

/** The list of new files as the third dialect gives it: an entry for each, and an empty one at the end. */
export const vendorEvents = (added: readonly {handle: number; info: Buffer}[]): Buffer => {
  const entries = added.map(({handle, info}) => {
    const entry = Buffer.alloc(NAME_AT + 16);
    entry.writeUInt32LE(entry.length, 0);
    entry.writeUInt32LE(OBJECT_ADDED, 4);
    entry.writeUInt32LE(handle, 8);
    // Storage, format and size stand at the start of the standard's own description of an object.
    entry.writeUInt32LE(info.readUInt32LE(0), 0x0c);
    entry.writeUInt16LE(info.readUInt16LE(4), 0x10);
    entry.writeUInt32LE(info.readUInt32LE(8), 0x1c);
    entry.write('NEW', NAME_AT, 'latin1');
    return entry;
  });
  return Buffer.concat([...entries, Buffer.from([8, 0, 0, 0, 0, 0, 0, 0])]);
};
