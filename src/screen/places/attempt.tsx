import {Box} from 'ink';
import {type ReactNode, useMemo} from 'react';
import type {Attempt as AttemptRecord, PreflightItem, SessionState} from '../../shoot/state.js';
import type {Layout} from '../layout.js';
import {wrapText} from '../lines.js';
import {Column} from '../parts/column.js';
import {FramePicture} from '../parts/frame-picture.js';
import {FullHistogram, LevelLine} from '../parts/histogram.js';
import {OnItsWay} from '../parts/on-its-way.js';
import {Preflight} from '../parts/preflight.js';
import {Row, textColumnsOf} from '../parts/row.js';
import {Verdict, verdictSaid} from '../parts/verdict.js';
import {plain} from '../plain.js';
import {shownNow, shownOf} from '../shown-file.js';
import {checksRoom, latestAttempt} from '../ui/attempt-keys.js';
import type {Ui} from '../ui/state.js';

const markWord: Record<string, string> = {keep: 'kept', maybe: 'maybe', drop: 'dropped'};

const titleOf = (attempt: AttemptRecord): string => {
  const parts = [`attempt ${attempt.number}`];
  if (attempt.mark) parts.push(markWord[attempt.mark]!);
  if (attempt.reading) parts.push(verdictSaid(attempt.reading));
  return parts.join(': ');
};

/** Why an attempt has no reading, and what is there of it. */
const stageSaid = (attempt: AttemptRecord): string => {
  if (attempt.trouble !== null) return plain(attempt.trouble);
  if (attempt.files.length > 0) return 'its frame is here and waits to be measured';
  return attempt.stage === 'begun' ? 'the shutter was not opened' : 'its frame may still be on the camera';
};

const changesSaid = (attempt: AttemptRecord): string => {
  if (attempt.changes.length > 0) return attempt.changes.map(change => plain(change)).join('; ');
  return attempt.number === 1 ? 'the first attempt' : 'nothing since the one before';
};

const LOWER_ROWS = 4;

/** Under the picture: what to change next, what was changed, and where the frame's levels lie. */
const Lower = ({attempt, marks, columns}: {attempt: AttemptRecord; marks: boolean; columns: number}): ReactNode => {
  const advice = attempt.reading?.advice[0];
  const note = attempt.notes.at(-1);
  return (
    <Box flexDirection="column" flexShrink={0} height={LOWER_ROWS}>
      <Row word={advice ? 'try next' : ''} wordRank="bright" rows={2}>
        {advice ? `${plain(advice.do)}: ${plain(advice.because)}` : ''}
      </Row>
      <Row word={note === undefined ? 'changed' : 'note'}>
        {note === undefined ? changesSaid(attempt) : plain(note)}
      </Row>
      {attempt.reading && marks ? (
        <Row word="marks">outline: the head; ticks: the trail; ×: it crosses the face; letters: spill</Row>
      ) : null}
      {attempt.reading && !marks ? (
        <Row word="level">
          <LevelLine histogram={attempt.reading.histogram} columns={columns - 14} />
        </Row>
      ) : null}
    </Box>
  );
};

const TITLE_ROWS = 6;

const nothingYet = 'Nothing was tried yet. The preflight comes first: the list of all that must be so.';

/** What there is to say of the newest attempt, beside its picture. */
const Words = ({state, columns, rows}: {state: SessionState; columns: number; rows: number}): ReactNode => {
  const attempt = latestAttempt(state);
  const title = attempt ? titleOf(attempt) : nothingYet;
  const titleRows = wrapText(title, textColumnsOf(columns), TITLE_ROWS).length;
  const isQuiet = attempt?.reading && state.activity.kind === 'resting';
  return (
    <Column columns={columns} rows={rows}>
      <Row word="" rows={TITLE_ROWS}>
        {title}
      </Row>
      <OnItsWay state={state} columns={columns} />
      {attempt && !attempt.reading && state.activity.kind === 'resting' ? (
        <Row word={attempt.stage === 'unmeasured' ? '× unread' : 'frame'} rows={4}>
          {stageSaid(attempt)}
        </Row>
      ) : null}
      {attempt?.reading ? <Verdict reading={attempt.reading} rows={rows - titleRows - (isQuiet ? 0 : 3)} /> : null}
    </Column>
  );
};

/** The list before an attempt takes the whole place: it is read from end to end. */
const Before = ({
  state,
  items,
  series,
  rows,
}: {
  state: SessionState;
  items: PreflightItem[];
  series: boolean;
  rows: number;
}): ReactNode => (
  <Box flexDirection="column" height={rows}>
    <Row word="preflight" wordRank="bright" rank="bright">
      {`attempt ${(latestAttempt(state)?.number ?? 0) + 1}${series ? ', a series' : ''}${checksRoom(state) ? '; after lights out a probe tells whether the room is dark' : ''}`}
    </Row>
    <Preflight items={items} rows={rows - 1} />
  </Box>
);

/** Attempt: the list before it, the frame after it, the verdict, and what to change next. */
export const AttemptPlace = ({ui, state, layout}: {ui: Ui; state: SessionState; layout: Layout}): ReactNode => {
  const attempt = latestAttempt(state);
  const {activity} = state;
  const shown = attempt && attempt.files.length > 0 ? attempt : null;
  const marks = useMemo(
    () => (ui.marks && shown ? {zones: state.shoot.zones, reading: shown.reading} : null),
    [ui.marks, shown, state.shoot.zones],
  );
  if (activity.kind === 'preflight') {
    return <Before state={state} items={activity.items} series={activity.series} rows={layout.bodyRows} />;
  }
  const upperRows = layout.bodyRows - LOWER_ROWS;
  const pictureColumns = layout.columns - layout.textColumns - 1;
  return (
    <Box flexDirection="column" height={layout.bodyRows}>
      <Box height={upperRows}>
        <Words state={state} columns={layout.textColumns} rows={upperRows} />
        {ui.view === 'histogram' && shown?.reading ? (
          <FullHistogram histogram={shown.reading.histogram} columns={pictureColumns} rows={upperRows} />
        ) : (
          <FramePicture
            file={shown ? shownOf(state, shown.files) : shownNow(state)}
            marks={marks}
            columns={pictureColumns}
            rows={upperRows}
            label={attempt ? `the frame of attempt ${attempt.number}` : 'no frame yet'}
          />
        )}
      </Box>
      {attempt ? <Lower attempt={attempt} marks={ui.marks && ui.view === 'picture'} columns={layout.columns} /> : null}
    </Box>
  );
};
