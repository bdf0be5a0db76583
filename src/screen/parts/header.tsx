import {Box} from 'ink';
import type {ReactNode} from 'react';
import {printExposure} from '../../../shared/exposure.js';
import {printSettings} from '../../light/words.js';
import {places, type SessionState} from '../../shoot/state.js';
import {plain} from '../plain.js';
import type {Ui} from '../ui/state.js';
import {Say} from './say.js';

/** The card's room is only worth a word when it runs out. */
const FEW_FRAMES = 50;

const cameraSaid = (state: SessionState): string => {
  const {camera} = state;
  if (camera.kind === 'lost') return plain(`camera lost: ${camera.say}`);
  const {identity, status} = camera;
  const name = identity.kind === 'studio' ? 'simulated room' : plain(`${identity.maker} ${identity.model}`.trim(), 40);
  const parts = [state.speed === 1 ? name : `${name}, ${state.speed}× faster`];
  parts.push(printSettings(state.shoot.exposure, '  '));
  if (status.exposure && printExposure(status.exposure) !== printExposure(state.shoot.exposure)) {
    parts.push(`camera stands at ${printSettings(status.exposure)}`);
  }
  if (status.batteryPercent !== null) parts.push(`battery ${Math.round(status.batteryPercent)} %`);
  if (status.freeFrames !== null && status.freeFrames < FEW_FRAMES) parts.push(`room for ${status.freeFrames}`);
  return parts.join('   ');
};

const soundSaid = (state: SessionState): string => {
  if (state.sound.output === 'bell') return 'bell only';
  return state.sound.speech ? 'sound and speech' : 'sound, no speech';
};

/** Whose shoot it is, where one is in the work, and what stands ready. */
export const Header = ({ui, state}: {ui: Ui; state: SessionState}): ReactNode => (
  <Box flexDirection="column" flexShrink={0} paddingX={1} marginBottom={1}>
    <Box justifyContent="space-between">
      <Box flexShrink={1}>
        <Say rank="bright">{plain(state.shoot.name, 80)}</Say>
      </Box>
      <Box flexShrink={0} marginLeft={2} gap={2}>
        {places.map((place, index) => (
          <Say key={place} rank={place === ui.place ? 'bright' : 'faint'}>
            {`${index + 1} ${place === ui.place ? place.toUpperCase() : place}`}
          </Say>
        ))}
      </Box>
    </Box>
    <Box justifyContent="space-between">
      <Box flexShrink={1}>
        <Say rank={state.camera.kind === 'lost' ? 'bright' : 'faint'}>{cameraSaid(state)}</Say>
      </Box>
      <Box flexShrink={0} marginLeft={2}>
        <Say rank="faint">{soundSaid(state)}</Say>
      </Box>
    </Box>
  </Box>
);
