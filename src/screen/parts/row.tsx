import {Box} from 'ink';
import {createContext, type ReactNode, useContext} from 'react';
import {MARGIN} from '../layout.js';
import {cut, wrapText} from '../lines.js';
import type {Rank} from '../palette.js';
import {Say} from './say.js';

/** How wide the column is in which rows stand, in cells. */
export const ColumnContext = createContext(80);

/** Cells between the margin's word and the text, and at the right end. */
const GAP = 2;
const END = 1;

/** Cells that a row's text has. */
export const textColumnsOf = (columns: number, margin = MARGIN): number => Math.max(8, columns - margin - GAP - END);

/**
 * One line as in a play's script: a word in the margin, and what it says. A text may take more lines than one; it is
 * broken here, because only then it can be cut to so many lines.
 */
export const Row = ({
  word,
  rank = 'plain',
  wordRank = 'faint',
  rows = 1,
  margin = MARGIN,
  filled = false,
  children,
}: {
  word: string;
  rank?: Rank | undefined;
  wordRank?: Rank | undefined;
  /** Most lines that a text may take. */
  rows?: number | undefined;
  /** Width of the margin, in cells. */
  margin?: number | undefined;
  /** Whether the word is drawn like a key. */
  filled?: boolean | undefined;
  children?: ReactNode;
}): ReactNode => {
  const columns = textColumnsOf(useContext(ColumnContext), margin);
  return (
    <Box flexShrink={0} minHeight={1}>
      <Box width={margin} justifyContent="flex-end" flexShrink={0}>
        <Say rank={wordRank} filled={filled}>
          {word}
        </Say>
      </Box>
      <Box marginLeft={GAP} width={columns} flexShrink={0}>
        {typeof children === 'string' ? (
          <Say rank={rank}>{rows === 1 ? cut(children, columns) : wrapText(children, columns, rows).join('\n')}</Say>
        ) : (
          children
        )}
      </Box>
    </Box>
  );
};
