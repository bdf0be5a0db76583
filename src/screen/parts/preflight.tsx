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

const rankOf = (item: PreflightItem): Rank => {
  if (item.state === 'fail' || (item.by === 'told' && item.state === 'open')) return 'bright';
  return item.state === 'ok' ? 'faint' : 'plain';
};

/** What needs the person stands first where there isn't room for all of it. */
const order: Record<PreflightItem['state'], number> = {fail: 0, watch: 1, open: 2, ok: 3};

/** The list before an attempt: what is watched answers for itself, and going on says that what is told is so. */
export const Preflight = ({items, rows}: {items: PreflightItem[]; rows: number}): ReactNode => {
  const sorted = [...items].sort((a, b) => order[a.state] - order[b.state]);
  const notOk = sorted.filter(item => item.state !== 'ok');
  const ok = sorted.filter(item => item.state === 'ok');
  const room = rows - notOk.length;
  const inFull = ok.length <= room ? ok : ok.slice(0, Math.max(0, room - 1));
  return (
    <Box flexDirection="column" height={rows} overflow="hidden">
      {[...notOk, ...inFull].map(item => (
        <Row key={item.id} word={stateWord(item)} wordRank={rankOf(item)} rank={rankOf(item)} wrap rows={2}>
          {plain(`${item.say}${item.fix && item.state !== 'ok' ? ` ${item.fix}` : ''}`)}
        </Row>
      ))}
      {inFull.length < ok.length ? (
        <Row word="· ok" rank="faint">
          {`and ${ok.length - inFull.length} more that are as they should be`}
        </Row>
      ) : null}
    </Box>
  );
};
