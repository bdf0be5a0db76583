import {type ReactNode, useMemo} from 'react';
import type {SessionState} from '../../shoot/state.js';
import {useStage} from '../context.js';
import {plateEv} from '../expected.js';
import {usePictures} from '../hooks/use-picture.js';
import {usePalette} from '../palette.js';
import {pixelsFor} from '../picture/encode.js';
import {type Layer, relit} from '../picture/relight.js';
import {shownOf} from '../shown-file.js';
import type {Draft} from '../ui/state.js';
import {PictureBox} from './picture-box.js';

const noLabels: never[] = [];

/** The next frame as the plates foretell it, under the plan as it stands on the screen. */
export const ExpectedPicture = ({
  state,
  plan,
  columns,
  rows,
}: {
  state: SessionState;
  plan: Draft;
  columns: number;
  rows: number;
}): ReactNode => {
  const {ability} = useStage();
  const palette = usePalette();
  const pixels = pixelsFor(columns, rows, palette, ability);
  const plates = state.shoot.plates.filter(plate => plate.plate !== 'sitter');
  const shown = usePictures(
    plates.map(plate => shownOf(state, plate.files)),
    pixels.width,
    pixels.height,
  );
  const pictures = shown.map(one => one.picture);
  // biome-ignore lint/correctness/useExhaustiveDependencies: the pictures themselves, not their list, are what changes.
  const picture = useMemo(() => {
    const layers = plates.flatMap((plate, index): (Layer & {name: string})[] =>
      pictures[index] ? [{name: plate.plate, picture: pictures[index], ev: plateEv(state, plate, plan)}] : [],
    );
    const dark = layers.find(layer => layer.name === 'dark');
    return dark && layers.length === plates.length
      ? relit(
          dark,
          layers.filter(layer => layer !== dark),
        )
      : null;
  }, [state.shoot, plan, ...pictures]);
  return (
    <PictureBox picture={picture} labels={noLabels} columns={columns} rows={rows} label="the next frame, foretold" />
  );
};
