import {Box} from 'ink';
import type {ReactNode} from 'react';
import type {Check, Reading} from '../../../shared/reading.js';
import {printNumber, printPercent} from '../../light/words.js';
import type {Rank} from '../palette.js';
import {plain} from '../plain.js';
import {counted, listed} from '../words.js';
import {Row} from './row.js';

/** A check's number with its unit, short enough for a column. */
export const valueSaid = (value: number, unit: string): string => {
  if (unit.startsWith('of ')) return value > 0 && value < 0.01 ? '<1 %' : printPercent(value);
  return `${printNumber(value, unit === 'EV' || unit === 'stops' ? 1 : 2)} ${plain(unit, 20)}`.trim();
};

const order: Record<Check['state'], number> = {fail: 0, watch: 1, ok: 2};
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

/**
 * The checks of a frame: what fails in full sentences first, then what to watch; what is right is named and no more.
 * @param rows lines that there are for it
 */
export const Verdict = ({reading, rows}: {reading: Reading; rows: number}): ReactNode => {
  const sorted = [...reading.checks].sort((a, b) => order[a.state] - order[b.state]);
  const inFull = rows >= 2 * sorted.length + 1 ? sorted : sorted.filter(check => check.state !== 'ok');
  const named = sorted.filter(check => !inFull.includes(check)).map(check => plain(check.id, 30));
  return (
    <Box flexDirection="column" height={rows} overflow="hidden">
      {inFull.map(check => (
        <Row
          key={check.id}
          word={marks[check.state]}
          wordRank={ranks[check.state]}
          rank={ranks[check.state]}
          wrap
          rows={3}
        >
          {`${plain(check.id, 30)}: ${plain(check.say)}`}
        </Row>
      ))}
      {named.length > 0 ? (
        <Row word={marks.ok} rank="faint" wrap rows={3}>
          {listed(named)}
        </Row>
      ) : null}
      {reading.missing.map(missing => (
        <Row key={missing} word="not seen" rank="faint" wrap rows={2}>
          {plain(missing)}
        </Row>
      ))}
    </Box>
  );
};
