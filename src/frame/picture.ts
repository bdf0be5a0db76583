/** A small picture for the terminal or a page: 8-bit sRGB, row by row, three bytes a pixel. */
export type Picture = {width: number; height: number; rgb: Uint8Array};
