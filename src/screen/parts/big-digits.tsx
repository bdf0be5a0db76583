import {Box} from 'ink';
import type {ReactNode} from 'react';
import {Say} from './say.js';

/** Five by seven, drawn for being read across a room. */
const shapes: Record<string, string[]> = {
  '0': ['.###.', '##.##', '##.##', '##.##', '##.##', '##.##', '.###.'],
  '1': ['..##.', '.###.', '..##.', '..##.', '..##.', '..##.', '..##.'],
  '2': ['.###.', '##.##', '...##', '..##.', '.##..', '##...', '#####'],
  '3': ['####.', '...##', '...##', '.###.', '...##', '...##', '####.'],
  '4': ['...##', '..###', '.#.##', '##.##', '#####', '...##', '...##'],
  '5': ['#####', '##...', '####.', '...##', '...##', '##.##', '.###.'],
  '6': ['..##.', '.##..', '##...', '####.', '##.##', '##.##', '.###.'],
  '7': ['#####', '...##', '..##.', '..##.', '.##..', '.##..', '.##..'],
  '8': ['.###.', '##.##', '##.##', '.###.', '##.##', '##.##', '.###.'],
  '9': ['.###.', '##.##', '##.##', '.####', '...##', '..##.', '.##..'],
};

const WIDE = 5;
const HIGH = 7;

/** A number as large as the box allows. */
export const BigNumber = ({value, columns, rows}: {value: number; columns: number; rows: number}): ReactNode => {
  const digits = [...String(Math.max(0, Math.round(value)))];
  const cellsWide = digits.length * (WIDE + 1) - 1;
  const scale = Math.max(1, Math.min(Math.floor(rows / HIGH), Math.floor(columns / (2 * cellsWide))));
  const lines = Array.from({length: HIGH}, (_, row) =>
    digits
      .map(digit => shapes[digit]![row]!)
      .join('.')
      .replace(/[#.]/g, sign => (sign === '#' ? '█' : ' ').repeat(2 * scale)),
  );
  const tall = lines.flatMap(line => Array.from({length: scale}, () => line));
  return (
    <Box aria-label={String(Math.round(value))} flexShrink={0}>
      <Say>{tall.join('\n')}</Say>
    </Box>
  );
};
