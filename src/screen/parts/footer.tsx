import {Box, useWindowSize} from 'ink';
import type {ReactNode} from 'react';
import type {SessionState} from '../../shoot/state.js';
import {wrapText} from '../lines.js';
import type {View} from '../model.js';
import {plain} from '../plain.js';
import {bindingsFor, isGoOn} from '../ui/bindings.js';
import {goOn} from '../ui/go-on.js';
import type {Binding, Ui} from '../ui/state.js';
import {Row, textColumnsOf} from './row.js';
import {Say} from './say.js';

/** Most lines that a message takes. */
const MESSAGE_ROWS = 3;

/** How many lines the message of now takes. */
export const messageRows = ({ui, state}: View, columns: number): number =>
  wrapText(plain(ui.notice ?? state.message?.say ?? ''), textColumnsOf(columns), MESSAGE_ROWS).length;

const GAP = 3;

/** As many keys as fit whole; the last one, which shows all the others, always does. */
const fitting = (bindings: Binding[], columns: number): Binding[] => {
  const widthOf = (binding: Binding): number => binding.shown.length + 1 + binding.say.length + GAP;
  const last = bindings.at(-1);
  let left = columns - (last ? widthOf(last) : 0);
  const shown = bindings.slice(0, -1).filter(binding => {
    left -= widthOf(binding);
    return left >= 0;
  });
  return last ? [...shown, last] : shown;
};

/** The line that is always bright: what "go on" will do; under it how, and the keys that are used most. */
export const Footer = ({ui, state}: {ui: Ui; state: SessionState}): ReactNode => {
  const next = goOn(ui, state);
  const bindings = bindingsFor(ui, state);
  const goes = bindings.find(isGoOn);
  const {columns} = useWindowSize();
  const often = fitting(
    bindings.filter(binding => binding.often),
    columns - 1,
  );
  const message = ui.notice === null ? state.message : {say: ui.notice, trouble: true};
  return (
    <Box flexDirection="column" flexShrink={0}>
      <Row
        word={message?.trouble ? '× trouble' : ''}
        wordRank="bright"
        rank={message?.trouble ? 'bright' : 'plain'}
        rows={MESSAGE_ROWS}
      >
        {message ? plain(message.say) : ''}
      </Row>
      <Row word={next && goes ? ` ${goes.shown} ` : ''} wordRank="bright" rank="bright" filled={next !== null}>
        {next ? plain(next.say) : ui.closing ? 'closing: what was made is kept' : ''}
      </Row>
      <Box height={2} flexDirection="column">
        <Row word="" rows={2}>
          {next ? plain(next.how) : ''}
        </Row>
      </Box>
      <Box height={1} paddingLeft={1} overflow="hidden" flexWrap="nowrap">
        {often.map(binding => (
          <Box key={binding.shown} flexShrink={0} marginRight={GAP}>
            <Say>{binding.shown}</Say>
            <Say rank="faint">{` ${plain(binding.say, 40)}`}</Say>
          </Box>
        ))}
      </Box>
    </Box>
  );
};
