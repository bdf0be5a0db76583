import {Box} from 'ink';
import type {ReactNode} from 'react';
import {plain} from '../plain.js';
import {Say} from './say.js';

/**
 * While a file is awaited that the camera makes by hand: its shutter may be open, so this is the faintest line there
 * is, on black, whatever the palette.
 */
export const Waiting = ({say, columns, rows}: {say: string; columns: number; rows: number}): ReactNode => (
  <Box width={columns} height={rows} alignItems="center" justifyContent="center">
    <Box width={Math.min(columns - 4, 60)}>
      <Say rank="faint" wrap="wrap">
        {plain(say)}
      </Say>
    </Box>
  </Box>
);
