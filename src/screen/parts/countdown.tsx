import {Box} from 'ink';
import type {ReactNode} from 'react';
import type {Activity} from '../../shoot/state.js';
import {useNow} from '../hooks/use-now.js';
import {plain} from '../plain.js';
import {BigNumber} from './big-digits.js';
import {Say} from './say.js';

/** What is about to be exposed. */
const subjectSaid = (subject: Extract<Activity, {kind: 'countdown'}>['subject']): string => {
  if (subject.kind === 'attempt') return `attempt ${subject.attempt}`;
  return subject.kind === 'plate' ? `plate: ${plain(subject.plate)}` : 'a probe of the room';
};

const LOOK_EVERY_MS = 100;

/** Seconds to the opening, to be read from the mark, and the cue that was given last. */
export const Countdown = ({
  activity,
  columns,
  rows,
}: {
  activity: Extract<Activity, {kind: 'countdown'}>;
  columns: number;
  rows: number;
}): ReactNode => {
  const leftMs = activity.opensAtMs - useNow(LOOK_EVERY_MS);
  return (
    <Box height={rows} width={columns} flexDirection="column" alignItems="center" justifyContent="center">
      <BigNumber value={Math.ceil(leftMs / 1000)} columns={columns - 4} rows={rows - 3} />
      <Box marginTop={1}>
        <Say rank="bright">{activity.cue ? plain(activity.cue) : subjectSaid(activity.subject)}</Say>
      </Box>
      <Say rank="faint">{activity.cue ? subjectSaid(activity.subject) : 'then the screen goes black'}</Say>
    </Box>
  );
};
