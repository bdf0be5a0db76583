import type {ReactNode} from 'react';
import type {SessionState} from '../../shoot/state.js';
import {useNow} from '../hooks/use-now.js';
import {plain} from '../plain.js';
import {bytesSaid} from '../words.js';
import {Progress} from './progress.js';
import {Row} from './row.js';

/** What is going on with a frame that is on its way, or with whatever else runs. */
export const OnItsWay = ({state, columns}: {state: SessionState; columns: number}): ReactNode => {
  const {activity} = state;
  const between = activity.kind === 'between' ? activity : null;
  const now = useNow(between ? 500 : null);
  switch (activity.kind) {
    case 'pulling':
      return (
        <>
          <Row word="pulling" rows={2}>
            {`${plain(activity.file, 60)}  ${bytesSaid(activity.bytes)} of ${bytesSaid(activity.total)}`}
          </Row>
          <Row word="">
            <Progress
              part={activity.total > 0 ? activity.bytes / activity.total : 0}
              columns={Math.max(8, columns - 16)}
            />
          </Row>
        </>
      );
    case 'measuring':
      return <Row word="measuring">what the frame holds</Row>;
    case 'speaking':
      return (
        <Row word="speaking" rows={3}>
          {plain(activity.say)}
        </Row>
      );
    case 'stopping':
      return (
        <Row word="stopping" rank="bright" rows={2}>
          {plain(activity.say)}
        </Row>
      );
    case 'room check':
      return (
        <Row word="room" rank="bright" rows={3}>
          {plain(activity.say ?? '')}
        </Row>
      );
    case 'between':
      return (
        <Row word="series" rank="bright" rows={2}>
          {`${activity.done} of ${activity.wanted} made; the next begins in ${Math.max(0, Math.ceil((activity.nextAtMs - now) / 1000))} s`}
        </Row>
      );
    default:
      return null;
  }
};
