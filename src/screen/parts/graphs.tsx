import {Box} from 'ink';
import type {ReactNode} from 'react';
import type {Attempt} from '../../shoot/state.js';
import {plain} from '../plain.js';
import {Column} from './column.js';
import {Row, textColumnsOf} from './row.js';
import {Say} from './say.js';
import {spark} from './spark.js';
import {valueSaid} from './verdict.js';

type Graph = {id: string; values: (number | null)[]; now: string; unit: string};

/**
 * Numbers that are followed over the shoot: each check that has one, as it moved from attempt to attempt. Those that gave
 * trouble in any of the attempts come first, so that they are seen where there is room for few.
 */
const graphsOf = (attempts: Attempt[], chosen: Attempt): Graph[] => {
  const checks = chosen.reading?.checks.filter(check => check.value !== null) ?? [];
  const gaveTrouble = new Set(
    attempts.flatMap(({reading}) => reading?.checks.flatMap(({id, state}) => (state === 'ok' ? [] : [id])) ?? []),
  );
  const first = checks.filter(({id}) => gaveTrouble.has(id));
  return [...first, ...checks.filter(check => !first.includes(check))].map(check => ({
    id: check.id,
    values: attempts.map(
      attempt => attempt.reading?.checks.find(candidate => candidate.id === check.id)?.value ?? null,
    ),
    now: valueSaid(check.value!, check.unit),
    unit: check.unit,
  }));
};

/** What a graph spans from its bottom to its top at least: smaller moves are chance and shall look like it. */
const leastSpanOf = (unit: string): number => (unit.startsWith('of ') ? 0.1 : unit === 'heads' ? 0.3 : 1);

/** The graph's bars, around the middle of its values. */
const barsOf = ({values, unit}: Graph): string => {
  const known = values.filter(value => value !== null);
  const [least, most] = [Math.min(...known), Math.max(...known)];
  const half = Math.max(most - least, leastSpanOf(unit)) / 2;
  const middle = (least + most) / 2;
  return spark(values, middle - half, middle + half);
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
          const line = barsOf(graph);
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
