import type {ReactNode} from 'react';
import {Say} from './say.js';

/** A line that fills. */
export const Progress = ({part, columns}: {part: number; columns: number}): ReactNode => {
  const full = Math.round(Math.max(0, Math.min(1, part)) * columns);
  return <Say>{`${'━'.repeat(full)}${'┄'.repeat(Math.max(0, columns - full))}`}</Say>;
};
