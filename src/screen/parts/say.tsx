import {Text, type TextProps} from 'ink';
import type {ReactNode} from 'react';
import {type Rank, usePalette} from '../palette.js';

/** Text of one of the three ranks. */
export const Say = ({
  rank = 'plain',
  wrap = 'truncate-end',
  children,
}: {
  rank?: Rank | undefined;
  wrap?: TextProps['wrap'] | undefined;
  children?: ReactNode;
}): ReactNode => {
  const palette = usePalette();
  return (
    <Text wrap={wrap} {...palette.ranks[rank]}>
      {children}
    </Text>
  );
};
