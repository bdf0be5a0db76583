import type {Shoot} from './state.js';

/** A 24 MP RAW and JPEG of one exposure; what an attempt is taken to need until one was made. */
const USUAL_BYTES = 45_000_000;
const LOOK_BACK = 20;

/** Bytes that the next attempt will probably need on the disk: the most that one of the last attempts needed. */
export const expectedBytes = ({attempts}: Pick<Shoot, 'attempts'>): number => {
  const sizes = attempts
    .slice(-LOOK_BACK)
    .map(({files}) => files.reduce((sum, {bytes}) => sum + bytes, 0))
    .filter(bytes => bytes > 0);
  return sizes.length > 0 ? Math.max(...sizes) : USUAL_BYTES;
};
