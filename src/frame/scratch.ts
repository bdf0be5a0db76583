/*
 * Measuring a frame takes some thirty planes as large as it. The system hands out memory of that size page by page, and
 * takes it back; both take longer than filling it. What one measurement worked in is therefore kept for the next.
 */

/** Room beyond what is asked for, so that a slightly larger need doesn't replace a piece. */
const SPARE = 1.25;
/** Pieces smaller than this, in bytes, are had anew as quickly. */
const LEAST_KEPT = 32_768;

const pieces: ArrayBuffer[] = [];
let next = 0;
let isKept = false;

/**
 * Does some work whose planes are taken from what is kept. None of them may be held on to afterwards: the next such work
 * overwrites them.
 */
export const withScratch = <Result>(work: () => Result): Result => {
  next = 0;
  isKept = true;
  try {
    return work();
  } finally {
    isKept = false;
  }
};

/** Does some work, within the other, whose planes last. */
export const withoutScratch = <Result>(work: () => Result): Result => {
  const before = isKept;
  isKept = false;
  try {
    return work();
  } finally {
    isKept = before;
  }
};

const piece = (bytes: number): ArrayBuffer => {
  if (!isKept || bytes < LEAST_KEPT) return new ArrayBuffer(bytes);
  const at = next++;
  const kept = pieces[at];
  if (kept && kept.byteLength >= bytes) {
    new Uint8Array(kept, 0, bytes).fill(0);
    return kept;
  }
  const made = new ArrayBuffer(8 * Math.ceil((SPARE * bytes) / 8));
  pieces[at] = made;
  return made;
};

/** A plane of 0. */
export const floats = (length: number): Float32Array => new Float32Array(piece(4 * length), 0, length);
export const integers = (length: number): Int32Array => new Int32Array(piece(4 * length), 0, length);
export const bytes = (length: number): Uint8Array => new Uint8Array(piece(length), 0, length);
