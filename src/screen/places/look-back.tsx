import {Box} from 'ink';
import {type ReactNode, useMemo} from 'react';
import {lessonOf} from '../../judge/compare.js';
import type {Attempt, SessionState} from '../../shoot/state.js';
import type {Layout} from '../layout.js';
import {Column} from '../parts/column.js';
import {FramePicture, TwoFrames} from '../parts/frame-picture.js';
import {Graphs} from '../parts/graphs.js';
import {FullHistogram} from '../parts/histogram.js';
import {Row} from '../parts/row.js';
import {Say} from '../parts/say.js';
import {plain} from '../plain.js';
import {shownOf} from '../shown-file.js';
import {bestAttempt, chosenAttempt, listedAttempts, otherAttempt, tally} from '../ui/look-back-keys.js';
import type {Ui} from '../ui/state.js';

const scoreSaid = (attempt: Attempt): string => {
  const counts = tally(attempt);
  if (!counts) return attempt.files.length > 0 ? 'not measured' : 'no frame';
  if (counts.fail + counts.watch === 0) return 'all right';
  return [counts.fail > 0 ? `${counts.fail} fail` : '', counts.watch > 0 ? `${counts.watch} watch` : '']
    .filter(Boolean)
    .join(' ');
};

const ListLine = ({attempt, isChosen, isBest}: {attempt: Attempt; isChosen: boolean; isBest: boolean}): ReactNode => (
  <Row
    word={isChosen ? `‹ ${attempt.number} ›` : String(attempt.number)}
    wordRank={isChosen ? 'bright' : 'faint'}
    rank={isChosen ? 'bright' : 'plain'}
  >
    {`${(attempt.mark ?? '–').padEnd(5)} ${scoreSaid(attempt)}${isBest ? ' best' : ''}`}
  </Row>
);

const Frames = ({
  ui,
  state,
  chosen,
  columns,
  rows,
}: {
  ui: Ui;
  state: SessionState;
  chosen: Attempt;
  columns: number;
  rows: number;
}): ReactNode => {
  const other = otherAttempt(ui, state);
  const marks = useMemo(
    () => (ui.marks ? {zones: state.shoot.zones, reading: chosen.reading} : null),
    [ui.marks, state.shoot.zones, chosen],
  );
  if (ui.view === 'histogram' && chosen.reading) {
    return <FullHistogram histogram={chosen.reading.histogram} columns={columns} rows={rows} />;
  }
  if (ui.lookBack.view === 'beside' && other) {
    return (
      <TwoFrames
        left={shownOf(state, other.files)}
        right={shownOf(state, chosen.files)}
        columns={columns}
        rows={rows}
        label={`attempt ${other.number} beside attempt ${chosen.number}`}
      />
    );
  }
  const shown = ui.lookBack.view === 'flip' && other ? other : chosen;
  return (
    <FramePicture
      file={shownOf(state, shown.files)}
      marks={shown === chosen ? marks : null}
      columns={columns}
      rows={rows}
      label={`the frame of attempt ${shown.number}`}
    />
  );
};

/** What was changed before an attempt, and what that did to the readings. */
const changedSaid = (state: SessionState, chosen: Attempt): string => {
  const before = state.shoot.attempts.findLast(one => one.number < chosen.number && one.reading !== null);
  const lesson =
    before?.reading && chosen.reading
      ? lessonOf(
          {attempt: before.number, reading: before.reading, changes: before.changes},
          {attempt: chosen.number, reading: chosen.reading, changes: chosen.changes},
        )
      : null;
  if (chosen.number === state.shoot.attempts[0]?.number) return 'the first attempt';
  return plain(lesson?.say ?? (chosen.changes.length > 0 ? chosen.changes.join('; ') : 'nothing'));
};

const captionOf = (ui: Ui, state: SessionState, chosen: Attempt): string => {
  const other = otherAttempt(ui, state);
  if (ui.lookBack.view === 'beside' && other) return `${other.number} at the left, ${chosen.number} at the right`;
  if (ui.lookBack.view === 'flip' && other) return `flipped: this is ${other.number}`;
  return `attempt ${chosen.number}`;
};

/** Look back: every attempt, what was changed before it, how each reading moved; two frames held together. */
export const LookBack = ({ui, state, layout}: {ui: Ui; state: SessionState; layout: Layout}): ReactNode => {
  const attempts = listedAttempts(ui, state);
  const chosen = chosenAttempt(ui, state);
  if (!chosen) {
    const none = state.shoot.attempts.length === 0;
    return (
      <Row word="" rows={2}>
        {none
          ? 'There is nothing to look back on yet: the first attempt will stand here.'
          : `No attempt is "${ui.lookBack.filter}"; o lists others.`}
      </Row>
    );
  }
  const listRows = Math.max(4, layout.bodyRows - 10);
  const at = attempts.indexOf(chosen);
  const from = Math.max(0, Math.min(at - Math.floor(listRows / 2), attempts.length - listRows));
  const best = bestAttempt(state.shoot.attempts);
  const pictureColumns = layout.columns - layout.textColumns - 1;
  const upperRows = layout.bodyRows - 4;
  return (
    <Box flexDirection="column" height={layout.bodyRows} overflow="hidden">
      <Box height={upperRows} overflow="hidden">
        <Column columns={layout.textColumns}>
          <Row
            word=""
            rank="faint"
          >{`${ui.lookBack.filter}, ${attempts.length} of ${state.shoot.attempts.length}`}</Row>
          <Box flexDirection="column" height={listRows} flexShrink={0} overflow="hidden">
            {attempts.slice(from, from + listRows).map(attempt => (
              <ListLine
                key={attempt.number}
                attempt={attempt}
                isChosen={attempt === chosen}
                isBest={attempt === best}
              />
            ))}
          </Box>
          <Row word="changed" rows={3}>
            {changedSaid(state, chosen)}
          </Row>
          <Row word="note" rows={2}>
            {plain(chosen.notes.at(-1) ?? '–')}
          </Row>
        </Column>
        <Frames ui={ui} state={state} chosen={chosen} columns={pictureColumns} rows={upperRows - 1} />
      </Box>
      <Box justifyContent="flex-end" marginTop={-1} flexShrink={0} height={1}>
        <Say rank="faint">{captionOf(ui, state, chosen)}</Say>
      </Box>
      <Graphs attempts={attempts} chosen={chosen} columns={layout.columns} rows={4} />
    </Box>
  );
};
