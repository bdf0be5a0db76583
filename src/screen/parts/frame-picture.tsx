import {Box} from 'ink';
import {type ReactNode, useMemo} from 'react';
import type {Picture} from '../../frame/picture.js';
import {useStage} from '../context.js';
import {type ShownFile, usePicture} from '../hooks/use-picture.js';
import {usePalette} from '../palette.js';
import {beside} from '../picture/beside.js';
import {pixelsFor} from '../picture/encode.js';
import {type Marks, spillLabels, withMarks} from '../picture/marks.js';
import {plain} from '../plain.js';
import {PictureBox} from './picture-box.js';
import {Say} from './say.js';

/** Where a picture should be: why there is none. */
const Trouble = ({text, columns, rows}: {text: string; columns: number; rows: number}): ReactNode => (
  <Box width={columns} height={rows} flexShrink={0} paddingLeft={2} overflow="hidden">
    <Say rank="faint" wrap="wrap">
      {plain(text)}
    </Say>
  </Box>
);

/** A frame in its box, with the marks that lie over it. */
export const FramePicture = ({
  file,
  marks,
  columns,
  rows,
  label,
}: {
  file: ShownFile | null;
  marks: Marks | null;
  columns: number;
  rows: number;
  label: string;
}): ReactNode => {
  const {ability} = useStage();
  const palette = usePalette();
  const pixels = pixelsFor(columns, rows, palette, ability);
  const {picture, trouble} = usePicture(file, pixels.width, pixels.height);
  const drawn = useMemo(() => (picture && marks ? withMarks(picture, marks) : picture), [picture, marks]);
  const labels = useMemo(
    () => (picture && marks ? spillLabels(marks, picture.width, Math.ceil(picture.height / 2)) : []),
    [picture, marks],
  );
  if (trouble !== null) return <Trouble text={trouble} columns={columns} rows={rows} />;
  if (file && !picture) return <Trouble text="the picture is on its way" columns={columns} rows={rows} />;
  return <PictureBox picture={drawn} labels={labels} columns={columns} rows={rows} label={label} />;
};

const noLabels: never[] = [];

/** Two frames side by side, the first at the left. */
export const TwoFrames = ({
  left,
  right,
  columns,
  rows,
  label,
}: {
  left: ShownFile | null;
  right: ShownFile | null;
  columns: number;
  rows: number;
  label: string;
}): ReactNode => {
  const {ability} = useStage();
  const palette = usePalette();
  const half = Math.floor((columns - 1) / 2);
  const pixels = pixelsFor(half, rows, palette, ability);
  const gap = Math.max(1, Math.round(pixels.width / half));
  const first = usePicture(left, pixels.width, pixels.height);
  const second = usePicture(right, pixels.width, pixels.height);
  const both: Picture | null = useMemo(
    () => (first.picture && second.picture ? beside(first.picture, second.picture, gap) : null),
    [first.picture, second.picture, gap],
  );
  const trouble = first.trouble ?? second.trouble;
  if (trouble !== null) return <Trouble text={trouble} columns={columns} rows={rows} />;
  return <PictureBox picture={both} labels={noLabels} columns={columns} rows={rows} label={label} />;
};
