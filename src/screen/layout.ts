/** Where things stand on a screen of this size; all in cells. */
export type Layout = {
  columns: number;
  rows: number;
  /** Rows between the two lines at the top and the four at the bottom. */
  bodyRows: number;
  /** Width of the column of words, left of the picture. */
  textColumns: number;
  /** The box of the picture, right of the words. */
  picture: {columns: number; rows: number};
  /** Rows under words and picture. */
  lowerRows: number;
};

export const LEAST_COLUMNS = 80;
export const LEAST_ROWS = 24;
/** Width of the margin in which each line's word stands. */
export const MARGIN = 11;

const TOP = 3;
const BOTTOM = 4;
const LOWER = 4;
/** Cells are about twice as high as wide, frames three by two: three columns for each row fill the box. */
const COLUMNS_PER_ROW = 3;

export const layoutOf = (columns: number, rows: number): Layout => {
  const bodyRows = rows - TOP - BOTTOM;
  const pictureRows = bodyRows - LOWER;
  const textColumns = Math.max(39, Math.round(columns * 0.36));
  return {
    columns,
    rows,
    bodyRows,
    textColumns,
    picture: {columns: Math.min(columns - textColumns - 2, COLUMNS_PER_ROW * pictureRows), rows: pictureRows},
    lowerRows: LOWER,
  };
};
