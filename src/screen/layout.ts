/** Where things stand on a screen of this size; all in cells. */
export type Layout = {
  columns: number;
  rows: number;
  /** Rows between the two lines at the top and those at the bottom. */
  bodyRows: number;
  /** Width of the column of words, left of the picture. */
  textColumns: number;
  /** The box of the picture, right of the words. */
  picture: {columns: number; rows: number};
  /** Rows at the bottom, from what is next on. */
  bottomRows: number;
};

export const LEAST_COLUMNS = 80;
export const LEAST_ROWS = 24;
/** Width of the margin in which each line's word stands. */
export const MARGIN = 11;

const TOP = 3;
/** Without the message: what is next, how (two lines), the keys. */
const BOTTOM = 4;
const LOWER = 4;
/** Cells are about twice as high as wide, frames three by two: three columns for each row fill the box. */
const COLUMNS_PER_ROW = 3;

/** @param messageRows lines that the message takes, 1 or more */
export const layoutOf = (columns: number, rows: number, messageRows = 1): Layout => {
  const bodyRows = rows - TOP - BOTTOM - messageRows;
  const pictureRows = bodyRows - LOWER;
  const textColumns = Math.max(39, Math.round(columns * 0.36));
  return {
    columns,
    rows,
    bodyRows,
    textColumns,
    picture: {columns: Math.min(columns - textColumns - 2, COLUMNS_PER_ROW * pictureRows), rows: pictureRows},
    bottomRows: BOTTOM,
  };
};
