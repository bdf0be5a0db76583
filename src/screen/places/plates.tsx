import {Box} from 'ink';
import {type ReactNode, useMemo} from 'react';
import {printExposure} from '../../../shared/exposure.js';
import type {PlateName} from '../../../shared/journal.js';
import {wantedPlates} from '../../shoot/plate-names.js';
import type {SessionState} from '../../shoot/state.js';
import type {Layout} from '../layout.js';
import {Column} from '../parts/column.js';
import {FramePicture} from '../parts/frame-picture.js';
import {OnItsWay} from '../parts/on-its-way.js';
import {Row} from '../parts/row.js';
import {plain} from '../plain.js';
import {shownNow, shownOf} from '../shown-file.js';
import {chosenPlate} from '../ui/plates-keys.js';
import type {Ui} from '../ui/state.js';
import {clockSaid} from '../words.js';

/** What each plate holds, for someone who never took one. */
const whatItIs = (plate: PlateName): string => {
  if (plate === 'dark') return 'the room without our lights';
  if (plate === 'sitter') return 'all flashes, no painting';
  return 'its flash alone';
};

const plateSaid = (state: SessionState, plate: PlateName, isNext: boolean): string => {
  const taken = state.shoot.plates.find(candidate => candidate.plate === plate);
  if (!taken) return `${isNext ? 'next: ' : ''}${whatItIs(plate)}`;
  const stale = taken.exposure && printExposure(taken.exposure) !== printExposure(state.shoot.exposure);
  return `taken ${clockSaid(taken.at)}${stale ? ', at other settings: take it again' : ''}`;
};

const headSaid = (state: SessionState, ui: Ui): string => {
  if (ui.plates.ellipse) return 'being set';
  if (state.proposedZones) return 'a guess waits for your word';
  return state.shoot.zones ? 'outlined on the picture' : 'not outlined yet';
};

const focusSaid = (state: SessionState): string => {
  if (state.shoot.focusLocked) return `locked: ${plain(state.shoot.focusLocked, 60)}`;
  if (state.camera.kind === 'connected' && state.camera.status.focusMode === 'manual') return 'by hand, so it stays';
  return 'not locked: focus on a light held at the mark';
};

/** Plates: the reference frames, one after another, and the outline of the head. */
export const Plates = ({ui, state, layout}: {ui: Ui; state: SessionState; layout: Layout}): ReactNode => {
  const plates = wantedPlates(state.shoot.rig);
  const selected = chosenPlate(ui, state);
  const next = plates.find(plate => !state.shoot.plates.some(taken => taken.plate === plate));
  const face = ui.plates.ellipse ?? state.proposedZones?.face ?? state.shoot.zones?.face ?? null;
  const marks = useMemo(() => (face ? {zones: {face}, reading: null} : null), [face]);
  const own = state.shoot.plates.find(candidate => candidate.plate === selected);
  const setting = ui.plates.ellipse !== null || state.proposedZones !== null;
  const file = setting || !own ? shownNow(state) : shownOf(state, own.files);
  return (
    <Box height={layout.bodyRows} overflow="hidden">
      <Column columns={layout.textColumns}>
        <Row word="focus" rows={2}>
          {focusSaid(state)}
        </Row>
        <Box height={1} />
        {plates.map(plate => (
          <Row
            key={plate}
            word={plate === selected && !setting ? `‹ ${plate} ›` : plate}
            wordRank={plate === selected ? 'plain' : 'faint'}
            rank={plate === next ? 'bright' : 'plain'}
            rows={2}
          >
            {plateSaid(state, plate, plate === next)}
          </Row>
        ))}
        <Box height={1} />
        <Row word="head" rank={setting ? 'bright' : 'plain'} rows={2}>
          {headSaid(state, ui)}
        </Row>
        <Box height={1} />
        <OnItsWay state={state} columns={layout.textColumns} />
        <Row word="why" rank="faint" rows={4}>
          Light adds: a plate of each light alone tells later which one fired, and how strong.
        </Row>
      </Column>
      <FramePicture
        file={file}
        marks={marks}
        columns={layout.columns - layout.textColumns - 1}
        rows={layout.bodyRows - 1}
        label={setting ? 'the plate with the outline of the head' : 'the plate'}
      />
    </Box>
  );
};
