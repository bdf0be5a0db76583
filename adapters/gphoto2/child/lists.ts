import type {Gphoto2, Pointer} from './bindings.js';
import {textFrom} from './widgets.js';

/** Lets a function of the library fill a list, reads it and gives it back. @returns its code, and pairs of name and value */
export const listed = async (
  library: Gphoto2,
  fill: (list: Pointer) => Promise<number>,
): Promise<{code: number; entries: {name: string; value: string}[]}> => {
  const into: Pointer[] = [null];
  const made = library.listNew(into);
  if (made < 0) return {code: made, entries: []};
  const list = into[0]!;
  try {
    const code = await fill(list);
    const count = code < 0 ? 0 : library.listCount(list);
    const entries = Array.from({length: Math.max(0, count)}, (_, index) => ({
      name: textFrom(text => library.listName(list, index, text)),
      value: textFrom(text => library.listValue(list, index, text)),
    }));
    return {code, entries};
  } finally {
    library.listFree(list);
  }
};
