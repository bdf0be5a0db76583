import {Box} from 'ink';
import type {ReactNode} from 'react';
import type {Attempt} from '../../shoot/state.js';
import {plain} from '../plain.js';
import {Column} from './column.js';
import {Row, textColumnsOf} from './row.js';
import {Say} from './say.js';
import {spark} from './spark.js';
import {valueSaid} from './verdict.js';

/** Numbers that are followed over the shoot: each check that has one, as it moved from attempt to attempt. */
const graphsOf = (attempts: Attempt[], chosen: Attempt): {id: string; values: (number | null)[]; now: string}[] => {
  const checks = chosen.reading?.checks.filter(check => check.value !== null) ?? [];
  return checks.map(check => ({
    id: check.id,
    values: attempts.map(
      attempt => attempt.reading?.checks.find(candidate => candidate.id === check.id)?.value ?? null,
    ),
    now: valueSaid(check.value!, check.unit),
  }));
};

/** A graph is at least this wide, with its word and its number. */
const LEAST_COLUMNS = 38;
/** Cells for the number after the bars. */
const NUMBER_COLUMNS = 13;
const WORD_COLUMNS = 14;
/** Attempts that are shown after the chosen one. */
const AFTER = 3;

/** How each reading moved from attempt to attempt, with the chosen one bright. */
export const Graphs = ({
  attempts,
  chosen,
  columns,
  rows,
}: {
  attempts: Attempt[];
  chosen: Attempt;
  columns: number;
  rows: number;
}): ReactNode => {
  const perLine = Math.max(1, Math.floor(columns / LEAST_COLUMNS));
  const width = Math.floor(columns / perLine);
  const bars = Math.max(4, textColumnsOf(width, WORD_COLUMNS) - NUMBER_COLUMNS);
  const from = Math.max(0, Math.min(attempts.indexOf(chosen) - bars + 1 + AFTER, attempts.length - bars));
  const shown = attempts.slice(from, from + bars);
  const place = shown.indexOf(chosen);
  return (
    <Box flexWrap="wrap" height={rows} flexShrink={0}>
      {graphsOf(shown, chosen)
        .slice(0, rows * perLine)
        .map(graph => {
          const line = spark(graph.values);
          return (
            <Column key={graph.id} columns={width} rows={1}>
              <Row word={plain(graph.id, 20)} margin={WORD_COLUMNS}>
                <Box>
                  <Say rank="faint">{line.slice(0, place)}</Say>
                  <Say rank="bright">{line.slice(place, place + 1)}</Say>
                  <Say rank="faint">{line.slice(place + 1)}</Say>
                  <Say>{`  ${graph.now}`}</Say>
                </Box>
              </Row>
            </Column>
          );
        })}
    </Box>
  );
};
