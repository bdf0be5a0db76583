import {PACKET} from './codes.js';

export type Packet = {type: number; body: Buffer};

/** What one operation asks for. */
export type OperationRequest = {code: number; transaction: number; parameters: number[]; sendsData: boolean};

const HEADER_BYTES = 8;
const LONGEST = 1 << 24;

/** Length, kind, body. */
export const frame = (type: number, body: Buffer): Buffer => {
  const bytes = Buffer.alloc(HEADER_BYTES + body.length);
  bytes.writeUInt32LE(bytes.length, 0);
  bytes.writeUInt32LE(type, 4);
  body.copy(bytes, HEADER_BYTES);
  return bytes;
};

const words = (code: number, transaction: number, parameters: readonly number[]): Buffer => {
  const body = Buffer.alloc(6 + parameters.length * 4);
  body.writeUInt16LE(code, 0);
  body.writeUInt32LE(transaction >>> 0, 2);
  for (const [index, parameter] of parameters.entries()) body.writeUInt32LE(parameter >>> 0, 6 + index * 4);
  return body;
};

export const response = (code: number, transaction: number, parameters: readonly number[] = []): Buffer =>
  frame(PACKET.response, words(code, transaction, parameters));

export const event = (code: number, transaction: number, parameters: readonly number[]): Buffer =>
  frame(PACKET.event, words(code, transaction, parameters));

/** Announces data: how many bytes will come. */
export const startData = (transaction: number, total: number): Buffer => {
  const body = Buffer.alloc(12);
  body.writeUInt32LE(transaction >>> 0, 0);
  body.writeBigUInt64LE(BigInt(total), 4);
  return frame(PACKET.startData, body);
};

/** The header of a data packet; its payload follows. */
export const dataHeader = (transaction: number, payloadBytes: number, last: boolean): Buffer => {
  const bytes = Buffer.alloc(12);
  bytes.writeUInt32LE(12 + payloadBytes, 0);
  bytes.writeUInt32LE(last ? PACKET.endData : PACKET.data, 4);
  bytes.writeUInt32LE(transaction >>> 0, 8);
  return bytes;
};

export const readRequest = (body: Buffer): OperationRequest => ({
  sendsData: body.readUInt32LE(0) === 2,
  code: body.readUInt16LE(4),
  transaction: body.readUInt32LE(6),
  parameters: Array.from({length: Math.floor((body.length - 10) / 4)}, (_, index) => body.readUInt32LE(10 + index * 4)),
});

/** Cuts a stream of bytes into packets. */
export const createCutter = (take: (packet: Packet) => void, broken: () => void) => {
  let rest = Buffer.alloc(0);
  return (chunk: Buffer): void => {
    rest = Buffer.concat([rest, chunk]);
    while (rest.length >= HEADER_BYTES) {
      const length = rest.readUInt32LE(0);
      if (length < HEADER_BYTES || length > LONGEST) {
        broken();
        return;
      }
      if (rest.length < length) return;
      const packet = {type: rest.readUInt32LE(4), body: Buffer.from(rest.subarray(HEADER_BYTES, length))};
      rest = rest.subarray(length);
      take(packet);
    }
  };
};
