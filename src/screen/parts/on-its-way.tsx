import {type ReactNode, useState} from 'react';
import type {SessionState} from '../../shoot/state.js';
import {byteSize} from '../../shoot/units.js';
import {useStage} from '../context.js';
import {useNow} from '../hooks/use-now.js';
import {plain} from '../plain.js';
import {Progress} from './progress.js';
import {Row} from './row.js';

/** That a frame is being measured, and for how long: how far it is nobody knows. */
const Measuring = ({what}: {what: string}): ReactNode => {
  const now = useNow(1000);
  const {speed} = useStage().session.state();
  const [sinceMs] = useState(now);
  const seconds = Math.floor((now - sinceMs) / 1000 / speed);
  return <Row word="measuring">{seconds < 1 ? what : `${what}, since ${seconds} s`}</Row>;
};

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
            {`${plain(activity.file, 60)}  ${byteSize(activity.bytes)} of ${byteSize(activity.total)}`}
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
      return <Measuring what={activity.subject.kind === 'probe' ? 'the room' : 'what the frame holds'} />;
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
