import {Box} from 'ink';
import type {ReactNode} from 'react';
import type {SessionState} from '../../shoot/state.js';
import {expectedChanges} from '../expected.js';
import type {Layout} from '../layout.js';
import {Column} from '../parts/column.js';
import {ExpectedPicture} from '../parts/expected-picture.js';
import {PlanMore} from '../parts/plan-more.js';
import {Row, textColumnsOf} from '../parts/row.js';
import {Say} from '../parts/say.js';
import {answerTo, costOf} from '../plan-answers.js';
import {moreLines} from '../plan-more.js';
import type {PlanField} from '../ui/plan-field.js';
import {earlierRigs, planFields, planOf} from '../ui/plan-fields.js';
import {canForetell} from '../ui/plan-keys.js';
import type {Draft, Ui} from '../ui/state.js';

const VALUE_COLUMNS = 18;
/** Cells for the answer beside a value. */
const answerColumns = ({columns}: Layout): number => textColumnsOf(columns) - VALUE_COLUMNS - 1;
/** Lines below the values. */
const LOWER_ROWS = 2;

const hint =
  '↑ ↓ choose a value, ← → change it; ↓ past the lights for how the set is built, m for more. Nothing is set before you say so.';

/** The line below: what a change costs, or an answer that found no room beside its value. */
const Below = ({cost, answer, columns}: {cost: string; answer: string; columns: number}): ReactNode => {
  const [word, text] =
    cost !== '' ? ['it costs', cost] : answer.length > columns ? ['in full', answer] : ['arrows', hint];
  return (
    <Row word={word!} rank={word === 'arrows' ? 'faint' : 'plain'} rows={2}>
      {text}
    </Row>
  );
};

const Field = ({
  field,
  plan,
  isChosen,
  columns,
}: {
  field: PlanField;
  plan: Draft;
  isChosen: boolean;
  /** For the answer. */
  columns: number;
}): ReactNode => (
  <Row word={field.label} wordRank={isChosen ? 'bright' : 'faint'}>
    <Box width={VALUE_COLUMNS} flexShrink={0}>
      <Say rank={isChosen ? 'bright' : 'plain'}>{isChosen ? `‹ ${field.value} ›` : `  ${field.value}`}</Say>
    </Box>
    <Box flexShrink={1} marginLeft={1}>
      <Say rank={isChosen ? 'plain' : 'faint'}>{answerTo(field, plan, columns)}</Say>
    </Box>
  </Row>
);

/** Rows of cells that a field takes: what begins something new stands after a gap. */
const heightOf = (field: PlanField): number => (field.begins ? 2 : 1);

/** The fields that fit around the chosen one. */
const windowOf = (fields: PlanField[], row: number, rows: number): PlanField[] => {
  let from = 0;
  const height = (a: number, b: number): number => fields.slice(a, b).reduce((sum, field) => sum + heightOf(field), 0);
  while (height(from, row + 1) > rows) from++;
  let to = row + 1;
  while (to < fields.length && height(from, to + 1) <= rows) to++;
  return fields.slice(from, to);
};

/** The values alone, beside the next frame as it will be with them. */
const Foretold = ({
  plan,
  state,
  fields,
  row,
  layout,
}: {
  plan: Draft;
  state: SessionState;
  fields: PlanField[];
  row: number;
  layout: Layout;
}): ReactNode => {
  const rows = layout.bodyRows - LOWER_ROWS;
  const changes = expectedChanges(state, plan);
  const said =
    changes === null
      ? 'no frame was measured yet'
      : changes.length === 0
        ? 'the checks as they are'
        : changes.join('; ');
  return (
    <Box flexDirection="column" height={layout.bodyRows}>
      <Box height={rows}>
        <Column columns={layout.textColumns} rows={rows}>
          {windowOf(fields, row, rows).map(field => (
            <Box key={field.id} flexDirection="column" flexShrink={0}>
              {heightOf(field) === 2 ? <Box height={1} /> : null}
              <Row
                word={field.label}
                wordRank={field === fields[row] ? 'bright' : 'faint'}
                rank={field === fields[row] ? 'bright' : 'plain'}
              >
                {field === fields[row] ? `‹ ${field.value} ›` : `  ${field.value}`}
              </Row>
            </Box>
          ))}
        </Column>
        <ExpectedPicture state={state} plan={plan} columns={layout.columns - layout.textColumns - 1} rows={rows - 1} />
      </Box>
      <Row word="to expect" rows={LOWER_ROWS}>
        {said}
      </Row>
    </Box>
  );
};

/** Plan: what is wanted, and what light will do. */
export const Plan = ({ui, state, layout}: {ui: Ui; state: SessionState; layout: Layout}): ReactNode => {
  const plan = planOf(state, ui.plan.draft);
  const fields = planFields(plan, earlierRigs(state));
  const row = Math.min(ui.plan.row, fields.length - 1);
  if (ui.plan.expected && canForetell(state)) {
    return <Foretold plan={plan} state={state} fields={fields} row={row} layout={layout} />;
  }
  if (ui.plan.more !== null) {
    const lines = moreLines(state.shoot.exposure, plan);
    return <PlanMore lines={lines} from={Math.min(ui.plan.more, lines.length - 1)} layout={layout} />;
  }
  const cost = costOf(state.shoot.exposure, plan.exposure);
  const rows = layout.bodyRows - LOWER_ROWS;
  return (
    <Box flexDirection="column" height={layout.bodyRows}>
      <Box flexDirection="column" height={rows}>
        {windowOf(fields, row, rows).map(field => (
          <Box key={field.id} flexDirection="column" flexShrink={0}>
            {heightOf(field) === 2 ? <Box height={1} /> : null}
            <Field field={field} plan={plan} isChosen={field === fields[row]} columns={answerColumns(layout)} />
          </Box>
        ))}
      </Box>
      <Below cost={cost} answer={answerTo(fields[row]!, plan)} columns={answerColumns(layout)} />
    </Box>
  );
};
