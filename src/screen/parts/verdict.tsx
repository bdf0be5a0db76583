import {type ReactNode, useContext} from 'react';
import type {Check, Reading} from '../../../shared/reading.js';
import {printNumber, printPercent} from '../../light/words.js';
import {counted} from '../../shoot/units.js';
import {wrapText} from '../lines.js';
import type {Rank} from '../palette.js';
import {plain} from '../plain.js';
import {listed} from '../words.js';
import {ColumnContext, Row, textColumnsOf} from './row.js';

/**
 * A number with its unit, short enough for a column, rounded as the judge's sentences round it.
 * @param digits after the point; a check's sentence has one
 */
export const valueSaid = (value: number, unit: string, digits = 1): string => {
  if (unit.startsWith('of ')) return value < 0.1 ? `${printNumber(value * 100, digits)} %` : printPercent(value);
  return `${printNumber(value, digits)} ${plain(unit, 20)}`.trim();
};

const order: Record<Check['state'], number> = {fail: 0, watch: 1, ok: 2};
/** The checks, what fails first. */
export const bySeverity = (checks: readonly Check[]): Check[] =>
  [...checks].sort((a, b) => order[a.state] - order[b.state]);

const ranks: Record<Check['state'], Rank> = {fail: 'bright', watch: 'plain', ok: 'faint'};
const marks: Record<Check['state'], string> = {fail: '× fail', watch: '≈ watch', ok: '· ok'};

/** The whole verdict in a few words. */
export const verdictSaid = (reading: Reading): string => {
  const count = (state: Check['state']): number => reading.checks.filter(check => check.state === state).length;
  const [fail, watch] = [count('fail'), count('watch')];
  if (reading.checks.length === 0) return 'nothing could be judged';
  if (fail === 0 && watch === 0) return 'everything is right';
  return [
    fail > 0 ? `${fail} to mend` : '',
    watch > 0 ? `${watch} to watch` : '',
    `${counted(count('ok'), 'check')} ok`,
  ]
    .filter(part => part !== '')
    .join(', ');
};

type Entry = {key: string; word: string; wordRank?: Rank; rank: Rank; text: string; rows: number};

/** Most lines of one check; the names of all that is right may take more. */
const MOST_LINES = 3;
const MOST_NAME_LINES = 6;

const entryOf = (check: Check): Entry => ({
  key: check.id,
  word: marks[check.state],
  rank: check.state === 'ok' ? 'faint' : 'plain',
  wordRank: ranks[check.state],
  text: `${plain(check.id, 30)}  ${plain(check.say)}`,
  rows: MOST_LINES,
});

const entriesOf = (reading: Reading, withOk: boolean): Entry[] => {
  const sorted = bySeverity(reading.checks);
  const inFull = withOk ? sorted : sorted.filter(check => check.state !== 'ok');
  const named = sorted.filter(check => !inFull.includes(check)).map(check => plain(check.id, 30));
  const right: Entry[] =
    named.length > 0 ? [{key: 'ok', word: marks.ok, rank: 'faint', text: listed(named), rows: MOST_NAME_LINES}] : [];
  const missing = [...new Set(reading.missing)].map(
    (text): Entry => ({key: text, word: 'not seen', rank: 'faint', text: plain(text), rows: MOST_LINES}),
  );
  return [...inFull.map(entryOf), ...right, ...missing];
};

/**
 * The checks of a frame: what fails first, then what to watch; what is right is only named where lines are few.
 * @param rows lines that there are for it
 */
export const Verdict = ({reading, rows}: {reading: Reading; rows: number}): ReactNode => {
  const columns = textColumnsOf(useContext(ColumnContext));
  const heightOf = (entry: Entry): number => wrapText(entry.text, columns, entry.rows).length;
  const height = (entries: Entry[]): number => entries.reduce((sum, entry) => sum + heightOf(entry), 0);
  const full = entriesOf(reading, true);
  const entries = height(full) <= rows ? full : entriesOf(reading, false);
  const shown = entries.flatMap((entry, index): Entry[] => {
    const left = rows - height(entries.slice(0, index));
    return left > 0 && (left >= heightOf(entry) || entry.key === 'ok')
      ? [{...entry, rows: Math.min(left, entry.rows)}]
      : [];
  });
  return (
    <>
      {shown.map(entry => (
        <Row key={entry.key} word={entry.word} wordRank={entry.wordRank ?? 'faint'} rank={entry.rank} rows={entry.rows}>
          {entry.text}
        </Row>
      ))}
    </>
  );
};
