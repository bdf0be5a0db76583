/** Code points that terminals draw two cells wide: East Asian wide forms (Unicode UAX #11) and pictographs. */
const wide =
  /^[\u1100-\u115f\u2e80-\u303e\u3041-\ua4cf\ua960-\ua97f\uac00-\ud7a3\uf900-\ufaff\ufe30-\ufe6f\uff00-\uff60\uffe0-\uffe6\u{1f300}-\u{1faff}\u{20000}-\u{3fffd}]/u;
const mark = /^\p{M}/u;

/** How many cells a plain text takes. */
export const cellsOf = (text: string): number => {
  let cells = 0;
  for (const sign of text) cells += mark.test(sign) ? 0 : wide.test(sign) ? 2 : 1;
  return cells;
};

/** As much of the text as fits, from its beginning. */
const fitting = (text: string, columns: number): string => {
  let cells = 0;
  let end = 0;
  for (const sign of text) {
    cells += cellsOf(sign);
    if (cells > columns) break;
    end += sign.length;
  }
  return text.slice(0, end);
};

/** The text in at most so many cells; what is cut off leaves an ellipsis. */
export const cut = (text: string, columns: number): string =>
  cellsOf(text) <= columns ? text : `${fitting(text, Math.max(0, columns - 1)).trimEnd()}…`;

/**
 * Breaks a plain text between its words.
 * @param columns cells in a line, > 0
 * @param mostRows the last line that there is room for ends in an ellipsis when there is more
 */
export const wrapText = (text: string, columns: number, mostRows = Number.POSITIVE_INFINITY): string[] => {
  if (cellsOf(text) <= columns) return [text];
  const lines: string[] = [];
  let line = '';
  for (let word of text.split(' ')) {
    const joined = line === '' ? word : `${line} ${word}`;
    if (cellsOf(joined) <= columns) {
      line = joined;
      continue;
    }
    if (line !== '') lines.push(line);
    while (cellsOf(word) > columns) {
      const piece = fitting(word, columns) || word.slice(0, 1);
      lines.push(piece);
      word = word.slice(piece.length);
    }
    line = word;
  }
  lines.push(line);
  if (lines.length <= mostRows) return lines;
  const last = Math.max(1, mostRows) - 1;
  return [...lines.slice(0, last), cut(lines.slice(last).join(' '), columns)];
};
