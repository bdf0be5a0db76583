import type {PlateName} from '../../shared/journal.js';
import type {Zones} from '../../shared/zones.js';
import {printSettings} from '../light/words.js';
import {wantedPlates} from './plate-names.js';
import {plateInstructions} from './plates.js';
import {isReady} from './preflight.js';
import type {Place, SessionState} from './state.js';
import {counted} from './units.js';

/** What "go on" does. */
export type Step =
  | {do: 'agree to the plan'}
  | {do: 'lock the focus'}
  | {do: 'take a plate'; plate: PlateName}
  | {do: 'agree to the face'; zones: Zones}
  | {do: 'guess the face'}
  | {do: 'look at the preflight'}
  | {do: 'begin'; series: boolean}
  | {do: 'open now'}
  | {do: 'next at once'}
  | {do: 'look for the camera'}
  | {do: 'wrap'}
  | {do: 'nothing'};

export type Guidance = {place: Place; say: string; how: string; step: Step};

/** What the guide looks at. */
export type GuideView = Pick<SessionState, 'shoot' | 'camera' | 'activity' | 'proposedZones' | 'wrapPlan'> & {
  /** Whether the room arranges itself, so that nobody needs to be told what to switch. */
  obedient: boolean;
};

/**
 * The one next thing, in every state. Followed alone it leads from a new shoot through plan, plates, face and preflight to
 * an attempt's verdict, and on to the next attempt.
 */
export const guide = (view: GuideView): Guidance =>
  view.activity.kind === 'resting' ? whenResting(view) : duringWork(view);

const duringWork = ({activity, shoot}: GuideView): Guidance => {
  const at = (place: Place, say: string, how: string, step: Step = {do: 'nothing'}): Guidance => ({
    place,
    say,
    how,
    step,
  });
  switch (activity.kind) {
    case 'preflight':
      if (!isReady(activity.items))
        return at('attempt', 'look again', 'Mend what has failed, then go on.', {do: 'look at the preflight'});
      return at(
        'attempt',
        `all of this is so: begin ${activity.series ? 'the series' : `attempt ${shoot.attempts.length + 1}`}`,
        'One press answers for the whole list.',
        {
          do: 'begin',
          series: activity.series,
        },
      );
    case 'room check':
      return activity.holding
        ? at('attempt', 'open the shutter', 'The countdown begins when you go on.', {do: 'open now'})
        : at('attempt', 'wait for the room check', 'It takes a moment.');
    case 'between':
      return at('attempt', 'next attempt at once', 'Or wait on the mark.', {do: 'next at once'});
    case 'wrapping':
      return at('wrap', 'wait for the wrap', 'Files are being copied and checked.');
    case 'stopping':
      return at('attempt', 'wait', activity.say);
    case 'measuring':
      return at(placeOf(activity.subject.kind), 'wait for the reading', 'The frame is being measured.');
    case 'pulling':
      return at(placeOf(activity.subject.kind), 'wait for the frame', 'It is on its way from the camera.');
    case 'speaking':
      return at('attempt', 'listen', activity.say);
    case 'waiting for a file':
      return at(placeOf(activity.subject.kind), 'wait for the file', activity.say);
    case 'countdown':
    case 'open':
      return at(placeOf(activity.subject.kind), 'follow the cues', 'Stop closes the shutter and keeps the frame.');
    case 'resting':
      return at('attempt', '', '');
  }
};

const placeOf = (subject: 'attempt' | 'plate' | 'probe'): Place => {
  if (subject === 'plate') return 'plates';
  return subject === 'probe' ? 'plan' : 'attempt';
};

const whenResting = (view: GuideView): Guidance => {
  const {shoot, camera, proposedZones, wrapPlan, obedient} = view;
  if (wrapPlan) {
    const {files, folder} = wrapPlan;
    return {
      place: 'wrap',
      say: `copy ${counted(files.length, 'file')}`,
      how: `To ${folder}; each copy is checked.`,
      step: {do: 'wrap'},
    };
  }
  if (!shoot.planned) {
    return {
      place: 'plan',
      say: `agree to ${printSettings(shoot.exposure)}`,
      how: 'Look over exposure, lights and distances; change what is not so, then go on.',
      step: {do: 'agree to the plan'},
    };
  }
  const plate = wantedPlates(shoot.rig).find(wanted => !shoot.plates.some(taken => taken.plate === wanted));
  if (camera.kind === 'lost') {
    const place = plate && shoot.attempts.length === 0 ? 'plates' : 'attempt';
    return {place, say: 'look for the camera', how: camera.say, step: {do: 'look for the camera'}};
  }
  const {status} = camera;
  if (status.focusMode === 'auto' && !status.focusLocked) {
    return {
      place: 'plates',
      say: status.can.focusDrive ? 'focus on the mark and lock' : 'lock the focus on the camera',
      how: 'Put a light where your face will be; the focus stays there for the whole shoot.',
      step: {do: 'lock the focus'},
    };
  }
  if (plate && shoot.attempts.length === 0) {
    return {
      place: 'plates',
      say: `take the ${plate} plate`,
      how: obedient ? plateWords(plate) : plateInstructions(shoot.rig, plate),
      step: {do: 'take a plate', plate},
    };
  }
  if (!shoot.zones && proposedZones) {
    return {
      place: 'plates',
      say: 'agree to the face',
      how: 'The ellipse should hold the head; move it with the arrow keys, then go on.',
      step: {do: 'agree to the face', zones: proposedZones},
    };
  }
  if (!shoot.zones && shoot.plates.length > 0 && shoot.attempts.length === 0) {
    return {place: 'plates', say: 'find the face', how: 'From the lit plate.', step: {do: 'guess the face'}};
  }
  return {
    place: 'attempt',
    say: `attempt ${shoot.attempts.length + 1}`,
    how: 'First the preflight: the list of what must be so.',
    step: {do: 'look at the preflight'},
  };
};

const plateWords = (plate: PlateName): string => {
  if (plate === 'dark') return 'None of our lights: what the room leaves by itself.';
  return plate === 'sitter' ? 'All flashes, no trail.' : 'That flash alone.';
};
