import {Box} from 'ink';
import type {ReactNode} from 'react';
import type {Measurement} from '../../../shared/reading.js';
import {printNumber, printPercent} from '../../light/words.js';
import {Say} from './say.js';
import {spark} from './spark.js';

type Histogram = Measurement['histogram'];

/** Level of full scale: log2(1/0.18). */
const FULL_EV = 2.47;
const SHOWN_FROM_EV = -12;
const SHOWN_TO_EV = 2.5;

const total = (histogram: Histogram): number => histogram.counts.reduce((sum, count) => sum + count, 0);

/** Part of the frame at or above full scale. */
const clippedPart = (histogram: Histogram): number => {
  const first = Math.max(0, Math.floor((FULL_EV - histogram.fromEv) / histogram.stepEv));
  const above = histogram.counts.slice(first).reduce((sum, count) => sum + count, 0);
  return above / Math.max(1, total(histogram));
};

/** Less than this is a few sparks. */
const LEAST_CLIPPED = 0.0005;

const clippedSaid = (part: number): string => (part < 0.01 ? '<1 %' : printPercent(part));

/** Parts of the frame in so many equal steps from −12 to +2.5 EV, raised so that small parts can be seen. */
const columnsOf = (histogram: Histogram, columns: number): number[] => {
  const {fromEv, stepEv, counts} = histogram;
  const wide = (SHOWN_TO_EV - SHOWN_FROM_EV) / columns;
  /** Where each bin begins and ends on the shown scale; what lies beyond it counts at its ends. */
  const shown = (ev: number): number => Math.max(SHOWN_FROM_EV, Math.min(SHOWN_TO_EV, ev));
  const parts = new Array<number>(columns).fill(0);
  for (const [index, count] of counts.entries()) {
    const from = (shown(fromEv + index * stepEv) - SHOWN_FROM_EV) / wide;
    const to = (shown(fromEv + (index + 1) * stepEv) - SHOWN_FROM_EV) / wide;
    const first = Math.max(0, Math.min(columns - 1, Math.floor(from)));
    const last = Math.max(first, Math.min(columns - 1, Math.ceil(to) - 1));
    for (let column = first; column <= last; column++) {
      const share = to > from ? (Math.min(to, column + 1) - Math.max(from, column)) / (to - from) : 1;
      parts[column]! += count * share;
    }
  }
  // The darkest end holds the black room: it may go through the top, so that the rest can be seen.
  const most = Math.max(1, ...parts.slice(1));
  return parts.map(part => Math.min(1, (part / most) ** 0.4));
};

/** The levels of a frame in one line. */
export const LevelLine = ({histogram, columns}: {histogram: Histogram; columns: number}): ReactNode => {
  const clipped = clippedPart(histogram);
  const end = clipped >= LEAST_CLIPPED ? ` ▌clipped ${clippedSaid(clipped)}` : ' nothing clipped';
  const [from, to] = [`${printNumber(SHOWN_FROM_EV, 0)} `, ` +${SHOWN_TO_EV} EV`];
  const bars = Math.max(8, columns - from.length - to.length - end.length);
  return (
    <Box>
      <Say rank="faint">{from}</Say>
      <Say>{spark(columnsOf(histogram, bars), 0, 1)}</Say>
      <Say rank="faint">{to}</Say>
      <Say rank={clipped >= 0.01 ? 'bright' : 'faint'}>{end}</Say>
    </Box>
  );
};

const eighths = ' ▁▂▃▄▅▆▇█';

/** The levels of a frame as large as the picture's box, with a scale in EV and what is clipped. */
export const FullHistogram = ({
  histogram,
  columns,
  rows,
}: {
  histogram: Histogram;
  columns: number;
  rows: number;
}): ReactNode => {
  const wide = columns - 2;
  const high = rows - 3;
  const parts = columnsOf(histogram, wide);
  const lines = Array.from({length: high}, (_, row) =>
    parts.map(part => eighths[Math.max(0, Math.min(8, Math.round((part * high - (high - 1 - row)) * 8)))]).join(''),
  );
  const scale = new Array<string>(wide).fill(' ');
  for (const ev of [-12, -9, -6, -3, 0]) {
    const at = Math.floor(((ev - SHOWN_FROM_EV) / (SHOWN_TO_EV - SHOWN_FROM_EV)) * wide);
    for (const [index, sign] of [...printNumber(ev, 0)].entries()) if (at + index < wide) scale[at + index] = sign;
  }
  const clipped = clippedPart(histogram);
  return (
    <Box width={columns} height={rows} flexDirection="column" flexShrink={0} paddingLeft={2}>
      <Say>{lines.join('\n')}</Say>
      <Say rank="faint">{scale.join('')}</Say>
      <Say rank="faint">EV around middle grey</Say>
      <Say rank={clipped >= 0.01 ? 'bright' : 'plain'}>
        {clipped >= LEAST_CLIPPED ? `${clippedSaid(clipped)} clipped, at the right end` : 'nothing clipped'}
      </Say>
    </Box>
  );
};
