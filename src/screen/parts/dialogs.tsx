import {Box} from 'ink';
import type {ReactNode} from 'react';
import {drawRigText} from '../../light/rig-drawing-text.js';
import {printNumber} from '../../light/words.js';
import type {SessionState} from '../../shoot/state.js';
import type {Layout} from '../layout.js';
import {plain} from '../plain.js';
import {bindingsFor} from '../ui/bindings.js';
import {limitFields} from '../ui/limit-fields.js';
import type {Dialog, Ui} from '../ui/state.js';
import {Column} from './column.js';
import {Row} from './row.js';
import {Say} from './say.js';
import {valueSaid} from './verdict.js';

const chosen = (text: string, isChosen: boolean): string => (isChosen ? `‹ ${text} ›` : `  ${text}`);

const Help = ({ui, state, layout}: {ui: Ui; state: SessionState; layout: Layout}): ReactNode => {
  const bindings = bindingsFor({...ui, dialog: null}, state);
  const half = Math.ceil(bindings.length / 2);
  const columns = [bindings.slice(0, half), bindings.slice(half)];
  return (
    <Box flexDirection="column" height={layout.bodyRows} overflow="hidden">
      <Row word="" rank="bright">
        {`keys that work now, in ${ui.place}`}
      </Row>
      <Row word="" rank="faint" rows={2}>
        Page Down (or F5) of a clicker goes on like the space bar, Page Up stops like Esc.
      </Row>
      <Box height={1} />
      <Box>
        {columns.map(column => (
          <Column key={column[0]?.shown ?? 'none'} columns={Math.floor(layout.columns / 2)}>
            {column.map(binding => (
              <Row key={binding.shown} word={binding.shown} wordRank="bright" rows={2}>
                {plain(binding.say, 60)}
              </Row>
            ))}
          </Column>
        ))}
      </Box>
    </Box>
  );
};

const Series = ({dialog}: {dialog: Extract<Dialog, {kind: 'series'}>}): ReactNode => (
  <Box flexDirection="column">
    <Row word="" rank="bright">
      a series: attempt after attempt, without leaving the mark
    </Row>
    <Box height={1} />
    <Row word="attempts" rank={dialog.row === 0 ? 'bright' : 'plain'}>
      {chosen(String(dialog.count), dialog.row === 0)}
    </Row>
    <Row word="pause" rank={dialog.row === 1 ? 'bright' : 'plain'}>
      {chosen(`${dialog.pauseSeconds} s between two`, dialog.row === 1)}
    </Row>
    <Row word="ends" rank={dialog.row === 2 ? 'bright' : 'plain'}>
      {chosen(
        dialog.untilPassed ? 'with the first frame that passes every check' : 'when all are made',
        dialog.row === 2,
      )}
    </Row>
  </Box>
);

const soundWords = {tone: 'a tone', speech: 'spoken', both: 'a tone and spoken', none: 'not heard'};

const Cues = ({dialog, state}: {dialog: Extract<Dialog, {kind: 'cues'}>; state: SessionState}): ReactNode => (
  <Box flexDirection="column" overflow="hidden">
    <Row word="" rank="bright" rows={2}>
      {`cue sheet: what the sitter hears, in seconds from the opening; it closes after ${printNumber(state.shoot.exposure.shutterSeconds, 1)} s`}
    </Row>
    <Box height={1} />
    <Row word="countdown" rank={dialog.row === 0 ? 'bright' : 'plain'}>
      {chosen(`${dialog.sheet.countdownSeconds} s`, dialog.row === 0)}
    </Row>
    {dialog.sheet.cues
      .map((cue, index) => ({cue, row: index + 1}))
      .map(({cue, row}) => (
        <Row key={row} word={cue.name} rank={dialog.row === row ? 'bright' : 'plain'}>
          {chosen(`${printNumber(cue.atSeconds, 1).padStart(6)} s   ${soundWords[cue.sound]}`, dialog.row === row)}
        </Row>
      ))}
  </Box>
);

const LimitList = ({dialog, rows}: {dialog: Extract<Dialog, {kind: 'limits'}>; rows: number}): ReactNode => {
  const fields = limitFields(dialog.limits);
  const from = Math.max(0, Math.min(dialog.row - Math.floor(rows / 2), fields.length - rows));
  return (
    <Box flexDirection="column" height={rows} overflow="hidden">
      {fields.slice(from, from + rows).map(field => {
        const isChosen = field === fields[dialog.row];
        return (
          <Row key={field.name} word={field.name} margin={16} rank={isChosen ? 'bright' : 'plain'}>
            {`${chosen(`at ${field.bound} ${valueSaid(field.value, field.unit, field.unit === 'heads' ? 2 : 1)}`, isChosen)}${field.own ? '  your own' : ''}`}
          </Row>
        );
      })}
    </Box>
  );
};

/** The set from above. Names in it come from the rig and were made plain where it was drawn. */
const Drawing = ({state, layout}: {state: SessionState; layout: Layout}): ReactNode => (
  <Box paddingX={2} height={layout.bodyRows} overflow="hidden">
    <Say>{drawRigText(state.shoot.rig, layout.columns - 4, layout.bodyRows)}</Say>
  </Box>
);

const Typing = ({word, title, text}: {word: string; title: string; text: string}): ReactNode => (
  <Box flexDirection="column">
    <Row word="" rank="bright">
      {title}
    </Row>
    <Box height={1} />
    <Row word={word} rows={6} rank="bright">
      {`${plain(text, 600)}▏`}
    </Row>
  </Box>
);

/** What lies over a place until it is answered. */
export const DialogView = ({
  dialog,
  ui,
  state,
  layout,
}: {
  dialog: Dialog;
  ui: Ui;
  state: SessionState;
  layout: Layout;
}): ReactNode => {
  switch (dialog.kind) {
    case 'help':
      return <Help ui={ui} state={state} layout={layout} />;
    case 'leaving?':
      return (
        <Row word="leave?" rank="bright" rows={3}>
          Everything is kept; the shoot opens again where it was left.
        </Row>
      );
    case 'note':
      return <Typing word="note" title={`a note on attempt ${dialog.attempt}`} text={dialog.text} />;
    case 'folder':
      return <Typing word="folder" title="where the hand-off goes: a folder or a drive" text={dialog.text} />;
    case 'drawing':
      return <Drawing state={state} layout={layout} />;
    case 'limits':
      return <LimitList dialog={dialog} rows={layout.bodyRows} />;
    case 'series':
      return <Series dialog={dialog} />;
    case 'cues':
      return <Cues dialog={dialog} state={state} />;
  }
};
