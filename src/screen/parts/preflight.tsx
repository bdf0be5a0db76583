import {type ReactNode, useContext} from 'react';
import type {PreflightItem} from '../../shoot/state.js';
import {wrapText} from '../lines.js';
import type {Rank} from '../palette.js';
import {plain} from '../plain.js';
import {ColumnContext, Row, textColumnsOf} from './row.js';

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

const textOf = (item: PreflightItem): string =>
  plain(`${item.say}${item.fix && item.state !== 'ok' ? ` ${item.fix}` : ''}`);

/** The list before an attempt: what is watched answers for itself, and going on says that what is told is so. */
export const Preflight = ({items, rows}: {items: PreflightItem[]; rows: number}): ReactNode => {
  const columns = textColumnsOf(useContext(ColumnContext));
  const sorted = [...items].sort((a, b) => order[a.state] - order[b.state]);
  const linesOf = (item: PreflightItem): number => wrapText(textOf(item), columns, 2).length;
  const needed = (list: PreflightItem[]): number => list.reduce((sum, item) => sum + linesOf(item), 0);
  // Only what is as it should be is left out where there isn't room for all of it.
  const isWhole = needed(sorted) <= rows;
  const shown = sorted.filter(
    (item, index) => isWhole || item.state !== 'ok' || needed(sorted.slice(0, index + 1)) < rows,
  );
  const left = sorted.length - shown.length;
  return (
    <>
      {shown.map(item => (
        <Row key={item.id} word={stateWord(item)} wordRank={rankOf(item)} rank={rankOf(item)} rows={2}>
          {textOf(item)}
        </Row>
      ))}
      {left > 0 ? <Row word="· ok" rank="faint">{`and ${left} more that are as they should be`}</Row> : null}
    </>
  );
};
