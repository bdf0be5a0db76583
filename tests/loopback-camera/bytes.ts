/** Writes the little-endian values of which the protocol's records are made. */
export class Writer {
  private readonly parts: Buffer[] = [];

  u8(value: number): this {
    this.parts.push(Buffer.from([value & 0xff]));
    return this;
  }

  u16(value: number): this {
    const bytes = Buffer.alloc(2);
    bytes.writeUInt16LE(value & 0xffff);
    this.parts.push(bytes);
    return this;
  }

  u32(value: number): this {
    const bytes = Buffer.alloc(4);
    bytes.writeUInt32LE(value >>> 0);
    this.parts.push(bytes);
    return this;
  }

  u64(value: number): this {
    const bytes = Buffer.alloc(8);
    bytes.writeBigUInt64LE(BigInt(Math.max(0, Math.floor(value))));
    this.parts.push(bytes);
    return this;
  }

  /** A counted text: one byte with the number of characters and the closing zero, then UCS-2. At most 254 characters. */
  text(value: string): this {
    const short = value.slice(0, 254);
    if (short === '') return this.u8(0);
    return this.u8(short.length + 1).raw(Buffer.from(`${short}\0`, 'utf16le'));
  }

  list16(values: readonly number[]): this {
    this.u32(values.length);
    for (const value of values) this.u16(value);
    return this;
  }

  list32(values: readonly number[]): this {
    this.u32(values.length);
    for (const value of values) this.u32(value);
    return this;
  }

  raw(bytes: Buffer): this {
    this.parts.push(bytes);
    return this;
  }

  done(): Buffer {
    return Buffer.concat(this.parts);
  }
}

/** Reads a counted text. */
export const readText = (bytes: Buffer): string => {
  const characters = bytes.length > 0 ? bytes[0]! : 0;
  return bytes.toString('utf16le', 1, 1 + Math.max(0, characters - 1) * 2);
};
