/**
 * A decoded picture as its file codes it: sRGB, three interleaved channels, row by row, 8 or 16 bits a channel (0 to 255
 * or 0 to 65535), turned upright.
 */
export type CodedImage = {width: number; height: number} & (
  | {depth: 8; rgb: Uint8Array}
  | {depth: 16; rgb: Uint16Array}
);
