import {Box} from 'ink';
import type {ReactNode} from 'react';
import type {Layout} from '../layout.js';
import {wrapText} from '../lines.js';
import type {MoreLine} from '../plan-more.js';
import {Say} from './say.js';

const INDENT = 3;

type Drawn = {key: string; text: string; heading: boolean};

const drawn = ({text, heading}: MoreLine, index: number, columns: number): Drawn[] =>
  heading
    ? [
        {key: `${index} gap`, text: ' ', heading},
        {key: `${index}`, text, heading},
      ]
    : wrapText(text, columns).map((part, row) => ({
        key: `${index} ${row}`,
        text: `${row === 0 ? '' : '  '}${part}`,
        heading,
      }));

/** All that the plan says, from the line that was scrolled to. */
export const PlanMore = ({lines, from, layout}: {lines: MoreLine[]; from: number; layout: Layout}): ReactNode => {
  const rows = lines
    .slice(from)
    .flatMap((line, index) => drawn(line, from + index, layout.columns - 2 * INDENT - 2))
    .slice(lines[from]?.heading ? 1 : 0);
  const isCut = rows.length > layout.bodyRows;
  const shown = rows.slice(0, isCut ? layout.bodyRows - 1 : layout.bodyRows);
  return (
    <Box flexDirection="column" height={layout.bodyRows} paddingLeft={INDENT}>
      {shown.map(({key, text, heading}) => (
        <Say key={key} rank={heading ? 'bright' : 'plain'}>
          {heading ? text : `  ${text}`}
        </Say>
      ))}
      {isCut ? <Say rank="faint">↓ shows more</Say> : null}
    </Box>
  );
};
