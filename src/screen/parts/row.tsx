import {Box} from 'ink';
import type {ReactNode} from 'react';
import {MARGIN} from '../layout.js';
import type {Rank} from '../palette.js';
import {Say} from './say.js';

/** One line as in a play's script: a word in the margin, and what it says. */
export const Row = ({
  word,
  rank = 'plain',
  wordRank = 'faint',
  wrap = false,
  rows,
  margin = MARGIN,
  children,
}: {
  word: string;
  rank?: Rank | undefined;
  wordRank?: Rank | undefined;
  /** Whether the text may take more than one line. */
  wrap?: boolean | undefined;
  /** Most lines that it may take. */
  rows?: number | undefined;
  /** Width of the margin, in cells. */
  margin?: number | undefined;
  children?: ReactNode;
}): ReactNode => (
  <Box flexShrink={0} minHeight={1} overflow="hidden" {...(rows === undefined ? {} : {maxHeight: rows})}>
    <Box width={margin} justifyContent="flex-end" flexShrink={0}>
      <Say rank={wordRank}>{word}</Say>
    </Box>
    <Box marginLeft={2} flexGrow={1} flexShrink={1}>
      {typeof children === 'string' ? (
        <Say rank={rank} wrap={wrap ? 'wrap' : 'truncate-end'}>
          {children}
        </Say>
      ) : (
        children
      )}
    </Box>
  </Box>
);
