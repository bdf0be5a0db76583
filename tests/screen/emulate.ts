import headless from '@xterm/headless';

/** A terminal emulator for what a painter writes. */
export const emulate = (columns: number, rows: number) => {
  const screen = new headless.Terminal({cols: columns, rows, allowProposedApi: true});
  const settled = (): Promise<void> => new Promise(resolve => screen.write('', resolve));
  const cell = (row: number, column: number) => screen.buffer.active.getLine(row)!.getCell(column)!;
  return {
    write: (text: string): void => screen.write(text),
    settled,
    resize: (nextColumns: number, nextRows: number): void => screen.resize(nextColumns, nextRows),
    rows: async (): Promise<string[]> => {
      await settled();
      return Array.from({length: screen.rows}, (_, row) => screen.buffer.active.getLine(row)!.translateToString(true));
    },
    /** The backgrounds that occur on the screen: "rgb 000000", "palette 16", "default". */
    backgrounds: async (): Promise<string[]> => {
      await settled();
      const found = new Set<string>();
      for (let row = 0; row < screen.rows; row++) {
        for (let column = 0; column < screen.cols; column++) {
          const one = cell(row, column);
          const value = one.getBgColor();
          found.add(
            one.isBgDefault()
              ? 'default'
              : one.isBgRGB()
                ? `rgb ${value.toString(16).padStart(6, '0')}`
                : `palette ${value}`,
          );
        }
      }
      return [...found].sort();
    },
  };
};
