import type {CueSheet} from '../../shared/cues.js';
import {printLevel} from '../light/words.js';
import type {AttemptKit, AttemptOrder} from './attempt.js';
import {countDown} from './exposing.js';
import {safePath} from './names.js';
import {type Probed, takeProbe} from './probe.js';
import {untilAborted} from './stopping.js';

/**
 * After lights out, a probe tells aloud whether the room is dark, and the opening waits for the person's word.
 * @returns the sheet of what is still to come
 * @throws the stop's reason, CameraFault, SleptFault
 */
export const checkRoom = async (kit: AttemptKit, order: AttemptOrder): Promise<CueSheet> => {
  const {show, sound, shoot} = kit;
  const {attempt, signals, hold, roomSeen} = order;
  const {cues, exposure, rig, zones} = shoot();

  warmUp(kit);
  const probed = await takeProbe(kit, {exposure, rig, zones}, signals.stop, async () => {
    const cuesSoFar = await countDown(kit, {kind: 'probe'}, untilLightsOut(cues), null, signals.stop);
    cuesSoFar.leave();
    show({kind: 'room check', attempt, say: null, holding: false});
  });
  const {say, isDark} = roomWords(kit, probed);
  await kit.append({kind: 'room-checked', attempt, levelEv: probed.measurement.ambient.levelEv, say});
  roomSeen?.(isDark);
  const told = hold();
  sound.say(say).catch(() => undefined);
  show({kind: 'room check', attempt, say, holding: true});
  await untilAborted(told, signals.stop);
  return afterLightsOut(cues);
};

/**
 * Lets the measurer get the plates ready while the countdown runs, by measuring one that it knows: the first measurement
 * takes several times as long as the next, and the answer about the room is awaited in the dark.
 */
const warmUp = ({measurer, shoot, shootFolder}: AttemptKit): void => {
  const {plates, zones} = shoot();
  const file = plates.find(({plate}) => plate === 'dark')?.files.find(({kind}) => kind === 'jpeg');
  if (file) measurer.measure(safePath(shootFolder, file.path), zones).catch(() => undefined);
};

const LIGHTS_OUT = 'lights out';

/** The countdown to the probe: the person is told to kill the lights at once and is on the mark when it ends. */
const untilLightsOut = (cues: CueSheet): CueSheet => ({
  countdownSeconds: cues.countdownSeconds,
  cues: cues.cues.filter(cue => cue.name === LIGHTS_OUT),
});

const afterLightsOut = (cues: CueSheet): CueSheet => ({
  ...cues,
  cues: cues.cues.filter(cue => cue.name !== LIGHTS_OUT),
});

/** "Room dark." or what is wrong with it, held against the shoot's limits. */
const roomWords = ({judge, shoot}: AttemptKit, {measurement, room: seen}: Probed): {say: string; isDark: boolean} => {
  if (!seen) return {say: 'Nothing could be told about the room.', isDark: false};
  const {limits, exposure, zones} = shoot();
  const {checks} = judge({measurement, limits, rig: null, exposure, changes: [], earlier: [], zones});
  const room = checks.find(({id}) => id === 'room');
  if (!room || room.state === 'ok') {
    const level = printLevel(seen.levelEv);
    return {say: seen.darkerThan ? `Room dark, darker than ${level}.` : `Room dark, ${level}.`, isDark: true};
  }
  const {side} = measurement.ambient;
  const where = side === null || side === 'even' ? '' : `, mostly from the ${side} of the picture`;
  return {say: `The room is not dark: ${room.say}${where}.`, isDark: false};
};
