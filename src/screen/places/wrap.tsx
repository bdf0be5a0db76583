import {Box} from 'ink';
import type {ReactNode} from 'react';
import type {Mark} from '../../../shared/journal.js';
import type {SessionState} from '../../shoot/state.js';
import {byteSize, counted} from '../../shoot/units.js';
import type {Layout} from '../layout.js';
import {Progress} from '../parts/progress.js';
import {Row} from '../parts/row.js';
import {plain} from '../plain.js';
import type {Ui} from '../ui/state.js';
import {clockSaid} from '../words.js';

const marked = ({shoot}: SessionState): string => {
  const count = (mark: Mark | null): number => shoot.attempts.filter(attempt => attempt.mark === mark).length;
  const unmarked = count(null);
  return `${count('keep')} kept, ${count('maybe')} maybe, ${count('drop')} dropped${unmarked > 0 ? `, ${unmarked} without a word` : ''}`;
};

/** Wrap: what will be handed off, how far it has come, and what was handed off before. */
export const Wrap = ({ui, state, layout}: {ui: Ui; state: SessionState; layout: Layout}): ReactNode => {
  const {wrapPlan, activity, shoot} = state;
  const fileRows = Math.max(2, layout.bodyRows - 13);
  const files = wrapPlan?.files ?? [];
  return (
    <Box flexDirection="column" height={layout.bodyRows} overflow="hidden">
      <Row word="shoot">{`${counted(shoot.attempts.length, 'attempt')}: ${marked(state)}`}</Row>
      <Row word="takes">{ui.wrap.maybeToo ? 'what is kept, and what is maybe' : 'what is kept'}</Row>
      {wrapPlan ? (
        <Row word="to" rows={2}>
          {plain(wrapPlan.folder)}
        </Row>
      ) : null}
      <Box height={1} />
      {activity.kind === 'wrapping' ? (
        <>
          <Row word="copying">{`${activity.files} of ${activity.of}  ${plain(activity.file, 100)}`}</Row>
          <Row word="">
            <Progress part={activity.of > 0 ? activity.files / activity.of : 0} columns={layout.columns - 20} />
          </Row>
          <Box height={1} />
        </>
      ) : null}
      {wrapPlan ? (
        <Row word="files" rows={2}>
          {`${counted(files.length, 'file')}, ${byteSize(wrapPlan.bytes)}; with sidecars, contact sheet, set-up sheet, look back and readings`}
        </Row>
      ) : shoot.attempts.every(({mark}) => mark !== 'keep') ? (
        <Row word="files" rows={2}>
          Nothing is kept yet: mark an attempt with k, in Attempt or in Look back.
        </Row>
      ) : null}
      {files.slice(0, fileRows).map(file => (
        <Row key={file} word="" rank="faint">
          {plain(file)}
        </Row>
      ))}
      {files.length > fileRows ? <Row word="" rank="faint">{`and ${files.length - fileRows} more`}</Row> : null}
      <Box height={1} />
      {shoot.wraps.slice(-3).map(wrap => (
        <Row key={`${wrap.at} ${wrap.folder}`} word="done" rank="bright" rows={3}>
          {`${clockSaid(wrap.at)}  ${counted(wrap.files.length, 'file')} handed off and checked: ${plain(wrap.folder)}`}
        </Row>
      ))}
    </Box>
  );
};
