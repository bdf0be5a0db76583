import {Box} from 'ink';
import type {ReactNode} from 'react';
import {ColumnContext} from './row.js';

/** A column of rows, so many cells wide. */
export const Column = ({
  columns,
  rows,
  children,
}: {
  columns: number;
  rows?: number | undefined;
  children?: ReactNode;
}): ReactNode => (
  <ColumnContext.Provider value={columns}>
    <Box
      width={columns}
      flexDirection="column"
      flexShrink={0}
      overflow="hidden"
      {...(rows === undefined ? {} : {height: rows})}
    >
      {children}
    </Box>
  </ColumnContext.Provider>
);
