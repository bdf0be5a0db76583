import {Text, type TextProps} from 'ink';
import type {ReactNode} from 'react';
import {type Rank, usePalette} from '../palette.js';

/** Text of one of the three ranks. */
export const Say = ({
  rank = 'plain',
  wrap = 'truncate-end',
  filled = false,
  children,
}: {
  rank?: Rank | undefined;
  wrap?: TextProps['wrap'] | undefined;
  /** Whether it stands on a ground of its own colour, like a key. */
  filled?: boolean | undefined;
  children?: ReactNode;
}): ReactNode => {
  const palette = usePalette();
  return (
    <Text wrap={wrap} inverse={filled} {...palette.ranks[rank]}>
      {children}
    </Text>
  );
};
