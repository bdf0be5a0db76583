import {setTimeout as wait} from 'node:timers/promises';
import type {SoundState} from '../../shared/sound.js';
import type {Host} from '../programs.js';
import {findPlayer, type Player, playerNames} from './player.js';
import {findSynthesiser, type Synthesiser} from './synthesiser.js';
import {within} from './within.js';

/** What this machine can make heard. */
export type Equipment = {player: Player | null; synthesiser: Synthesiser | null};

const nothing: Equipment = {player: null, synthesiser: null};

/** An attempt never waits longer than this for a device or a voice. */
export const PATIENCE_MS = 2500;

const FIRST_LOOK_AFTER_MS = 100;

export type EquipmentSearch = {
  state(): SoundState;
  /** What was found; nothing where the search takes too long. Never rejects. */
  found(): Promise<Equipment>;
  /** The same, after looking again where nothing was found before: a device may have been plugged in since. */
  foundNow(): Promise<Equipment>;
  /** The device stopped playing. */
  lost(): void;
};

/** Looks for a player that plays and a voice that speaks, in the background. */
export const searchEquipment = (
  host: Host,
  speech: boolean,
  signal: AbortSignal,
  onChange: (state: SoundState) => void,
): EquipmentSearch => {
  let state: SoundState = {output: 'bell', speech: false, say: 'Looking for a sound device.'};
  let looking = true;

  const become = (next: SoundState): void => {
    if (signal.aborted) return;
    state = next;
    onChange(next);
  };
  const look = async (): Promise<Equipment> => {
    looking = true;
    const player = await findPlayer(host, signal);
    const synthesiser = player && speech ? await findSynthesiser(host, signal) : null;
    looking = false;
    become(describe({player, synthesiser}, speech, host));
    return {player, synthesiser};
  };

  // The first picture on the screen comes first; starting programs takes this thread's time.
  let search = wait(FIRST_LOOK_AFTER_MS, undefined, {ref: false}).then(look);
  const found = () => within(search, PATIENCE_MS, nothing);
  return {
    state: () => state,
    found,
    foundNow: async () => {
      if (!looking && !(await search).player && !signal.aborted) search = look();
      return found();
    },
    lost: () => {
      search = Promise.resolve(nothing);
      become({
        output: 'bell',
        speech: false,
        say: 'The sound device went away: cues come by the terminal bell and large text.',
      });
    },
  };
};

const describe = ({player, synthesiser}: Equipment, speech: boolean, host: Host): SoundState => {
  if (!player) {
    const tried = playerNames(host.platform).join(', ');
    return {
      output: 'bell',
      speech: false,
      say: `No sound device answers (tried ${tried}): cues come by the terminal bell and large text.`,
    };
  }
  if (synthesiser) return {output: 'device', speech: true, say: `Cues and verdicts are heard through ${player.name}.`};
  const why = speech ? 'no speech program was found (espeak-ng is one)' : 'the voice is switched off';
  return {output: 'device', speech: false, say: `Cues are heard as tones through ${player.name}; ${why}.`};
};
