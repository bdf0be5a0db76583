import {useEffect, useState} from 'react';
import {useStage} from '../context.js';

/**
 * The shoot's clock, which makes the component draw itself again while it is running.
 * @param everyMs real milliseconds between two looks; null stops it
 */
export const useNow = (everyMs: number | null): number => {
  const {session} = useStage();
  const [, look] = useState(0);
  useEffect(() => {
    if (everyMs === null) return;
    const timer = setInterval(() => look(count => count + 1), everyMs);
    return () => clearInterval(timer);
  }, [everyMs]);
  return session.now();
};
