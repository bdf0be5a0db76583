import {Box} from 'ink';
import {type ReactNode, useMemo} from 'react';
import type {Attempt as AttemptRecord, SessionState} from '../../shoot/state.js';
import {useNow} from '../hooks/use-now.js';
import type {Layout} from '../layout.js';
import {FramePicture} from '../parts/frame-picture.js';
import {FullHistogram, LevelLine} from '../parts/histogram.js';
import {Preflight} from '../parts/preflight.js';
import {Progress} from '../parts/progress.js';
import {Row} from '../parts/row.js';
import {Verdict, verdictSaid} from '../parts/verdict.js';
import {plain} from '../plain.js';
import {shownNow, shownOf} from '../shown-file.js';
import {latestAttempt} from '../ui/attempt-keys.js';
import type {Ui} from '../ui/state.js';
import {bytesSaid, counted} from '../words.js';

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

/** What is going on with a frame that is on its way. */
const OnItsWay = ({state, columns}: {state: SessionState; columns: number}): ReactNode => {
  const {activity} = state;
  const between = activity.kind === 'between' ? activity : null;
  const now = useNow(between ? 500 : null);
  if (activity.kind === 'pulling') {
    const part = activity.total > 0 ? activity.bytes / activity.total : 0;
    return (
      <>
        <Row word="pulling">{`${plain(activity.file, 60)}  ${bytesSaid(activity.bytes)} of ${bytesSaid(activity.total)}`}</Row>
        <Row word="">
          <Progress part={part} columns={Math.max(10, columns - 16)} />
        </Row>
      </>
    );
  }
  if (activity.kind === 'measuring') return <Row word="measuring">what the frame holds</Row>;
  if (activity.kind === 'speaking')
    return (
      <Row word="speaking" wrap rows={3}>
        {plain(activity.say)}
      </Row>
    );
  if (activity.kind === 'stopping')
    return (
      <Row word="stopping" rank="bright">
        {plain(activity.say)}
      </Row>
    );
  if (activity.kind === 'room check') {
    const say = activity.say === null ? 'a short probe tells whether the room is dark' : plain(activity.say);
    return (
      <Row word="room" rank={activity.holding ? 'bright' : 'plain'} wrap rows={3}>
        {say}
      </Row>
    );
  }
  if (between) {
    const left = Math.max(0, Math.ceil((between.nextAtMs - now) / 1000));
    return (
      <Row word="series" rank="bright">{`${between.done} of ${between.wanted} made; the next begins in ${left} s`}</Row>
    );
  }
  return null;
};

const Lower = ({attempt, columns}: {attempt: AttemptRecord; columns: number}): ReactNode => {
  const advice = attempt.reading?.advice[0];
  return (
    <Box flexDirection="column" flexShrink={0} height={4} overflow="hidden">
      {advice ? (
        <Row word="try next" wordRank="bright" rank="bright" wrap rows={2}>
          {`${plain(advice.do)}: ${plain(advice.because)}`}
        </Row>
      ) : (
        <Row word="note" rows={1}>
          {plain(attempt.notes.at(-1) ?? '')}
        </Row>
      )}
      <Row word="changed" rows={1}>
        {attempt.changes.length > 0
          ? attempt.changes.map(change => plain(change)).join('; ')
          : 'nothing since the one before'}
      </Row>
      {attempt.reading ? (
        <Row word="level" rows={1}>
          <LevelLine histogram={attempt.reading.histogram} columns={columns - 14} />
        </Row>
      ) : null}
    </Box>
  );
};

const nothingYet = 'Nothing was tried yet. Before each attempt a short list makes sure that nothing is forgotten.';

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
    return (
      <Box flexDirection="column" height={layout.bodyRows}>
        <Row word="before" rank="bright">
          {`attempt ${(attempt?.number ?? 0) + 1}${activity.series ? ', a series' : ''}`}
        </Row>
        <Box height={1} />
        <Preflight items={activity.items} rows={layout.bodyRows - 2} />
      </Box>
    );
  }
  const upperRows = layout.bodyRows - 4;
  const pictureColumns = layout.columns - layout.textColumns - 1;
  const showsHistogram = ui.view === 'histogram' && shown?.reading;
  const others = shown?.notes.length ?? 0;
  return (
    <Box flexDirection="column" height={layout.bodyRows} overflow="hidden">
      <Box height={upperRows} overflow="hidden">
        <Box
          width={layout.textColumns}
          paddingRight={1}
          flexDirection="column"
          flexShrink={0}
          height={upperRows}
          overflow="hidden"
        >
          {attempt ? (
            <Row word="" rank="bright" wrap rows={2}>
              {titleOf(attempt)}
            </Row>
          ) : (
            <Row word="" wrap rows={3}>
              {nothingYet}
            </Row>
          )}
          <OnItsWay state={state} columns={layout.textColumns} />
          {attempt && !attempt.reading && activity.kind === 'resting' ? (
            <Row word={attempt.stage === 'unmeasured' ? '× unread' : 'frame'} wrap rows={4}>
              {stageSaid(attempt)}
            </Row>
          ) : null}
          {attempt?.reading ? <Verdict reading={attempt.reading} rows={upperRows - 2} /> : null}
          {others > 0 ? <Row word="notes">{counted(others, 'note')}</Row> : null}
        </Box>
        {showsHistogram && shown.reading ? (
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
      {attempt ? <Lower attempt={attempt} columns={layout.columns} /> : null}
    </Box>
  );
};
