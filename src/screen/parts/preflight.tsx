import {Box} from 'ink';
import type {ReactNode} from 'react';
import type {PreflightItem} from '../../shoot/state.js';
import type {Rank} from '../palette.js';
import {plain} from '../plain.js';
import {Row} from './row.js';

const stateWord = (item: PreflightItem): string => {
  if (item.state === 'open') return item.by === 'told' ? 'you say' : 'looking';
  return {ok: '· ok', watch: '≈ watch', fail: '× not yet'}[item.state];
};

const rankOf = (item: PreflightItem, asked: boolean): Rank => {
  if (item.state === 'fail' || asked) return 'bright';
  return item.state === 'ok' ? 'faint' : 'plain';
};

/** The list before an attempt. What is watched answers for itself; what is told is asked one after another. */
export const Preflight = ({items, rows}: {items: PreflightItem[]; rows: number}): ReactNode => {
  const asked = items.find(item => item.by === 'told' && item.state === 'open');
  const at = asked ? items.indexOf(asked) : items.length - 1;
  const from = Math.max(0, Math.min(at - Math.floor(rows / 2), items.length - rows));
  return (
    <Box flexDirection="column" height={rows} overflow="hidden">
      {items.slice(from, from + rows).map(item => (
        <Row
          key={item.id}
          word={stateWord(item)}
          wordRank={rankOf(item, item === asked)}
          rank={rankOf(item, item === asked)}
          wrap
          rows={2}
        >
          {`${plain(item.say)}${item.fix && item.state !== 'ok' ? `: ${plain(item.fix)}` : ''}`}
        </Row>
      ))}
    </Box>
  );
};
