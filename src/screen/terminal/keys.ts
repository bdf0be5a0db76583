/** One key as a person pressed it. */
export type Key = {
  /** space, enter, escape, pageup, pagedown, up, down, left, right, home, end, tab, backspace, delete, f1…f12, or the sign itself. */
  name: string;
  /** What it would type; empty for keys that type nothing. */
  text: string;
  ctrl: boolean;
  alt: boolean;
  shift: boolean;
  /** Terminals that don't tell say `press` for all three. */
  event: 'press' | 'repeat' | 'release';
};

/** What comes in from a terminal: a key, a pasted text, or the terminal's answer to a question. */
export type Incoming = {kind: 'key'; key: Key} | {kind: 'paste'; text: string} | {kind: 'answer'; text: string};

const ESC = '\u001b';
/** An answer longer than this is none. */
const LONGEST = 4096;

const letterNames: Record<string, string> = {
  A: 'up',
  B: 'down',
  C: 'right',
  D: 'left',
  F: 'end',
  H: 'home',
  M: 'enter',
  P: 'f1',
  Q: 'f2',
  R: 'f3',
  S: 'f4',
  Z: 'tab',
};

const numberNames: Record<number, string> = {
  1: 'home',
  2: 'insert',
  3: 'delete',
  4: 'end',
  5: 'pageup',
  6: 'pagedown',
  7: 'home',
  8: 'end',
  11: 'f1',
  12: 'f2',
  13: 'f3',
  14: 'f4',
  15: 'f5',
  17: 'f6',
  18: 'f7',
  19: 'f8',
  20: 'f9',
  21: 'f10',
  23: 'f11',
  24: 'f12',
};

/** Keys that terminals with the newer keyboard protocol name by a code point (number pad included). */
const codePointNames: Record<number, string> = {
  9: 'tab',
  13: 'enter',
  27: 'escape',
  32: 'space',
  127: 'backspace',
  57414: 'enter',
  57417: 'left',
  57418: 'right',
  57419: 'up',
  57420: 'down',
  57421: 'pageup',
  57422: 'pagedown',
  57423: 'home',
  57424: 'end',
};

const controlNames: Record<string, string> = {
  '\r': 'enter',
  '\n': 'enter',
  '\t': 'tab',
  '\b': 'backspace',
  '\u007f': 'backspace',
  ' ': 'space',
};

const events = {1: 'press', 2: 'repeat', 3: 'release'} as const;

const key = (name: string, rest: Partial<Key> = {}): Incoming => ({
  kind: 'key',
  key: {name, text: '', ctrl: false, alt: false, shift: false, event: 'press', ...rest},
});

const modified = (field: string | undefined): Partial<Key> => {
  const [bits, event] = (field ?? '').split(':').map(Number);
  const mask = (bits || 1) - 1;
  return {
    shift: (mask & 1) !== 0,
    alt: (mask & 2) !== 0,
    ctrl: (mask & 4) !== 0,
    event: events[(event || 1) as 1 | 2 | 3] ?? 'press',
  };
};

const typed = (sign: string, alt: boolean): Incoming => {
  const named = controlNames[sign];
  if (named) return key(named, {text: sign === ' ' ? ' ' : '', alt});
  const code = sign.codePointAt(0)!;
  if (code < 32) return key(String.fromCharCode(code + 96), {ctrl: true, alt});
  return key(sign, {text: alt ? '' : sign, alt, shift: sign !== sign.toLowerCase()});
};

const byCodePoint = (fields: string[]): Incoming | null => {
  const code = Number.parseInt(fields[0] ?? '', 10);
  const rest = modified(fields[1]);
  const named = codePointNames[code];
  if (named) return key(named, {...rest, text: named === 'space' ? ' ' : ''});
  if (!(code >= 32 && code < 0x110000) || (code >= 57344 && code <= 63743)) return null;
  const written = (fields[2] ?? '').split(':').map(Number);
  const sign = String.fromCodePoint(...(written[0] ? written.filter(point => point > 31 && point < 0x110000) : [code]));
  return key(rest.ctrl ? sign.toLowerCase() : sign, {...rest, text: rest.ctrl || rest.alt ? '' : sign});
};

const sequence = (text: string): Incoming | null => {
  const final = text.at(-1)!;
  const body = text.slice(2, -1);
  const fields = body.split(';');
  if (/^[?>=<]/.test(body) || final === 't' || final === 'c') return {kind: 'answer', text};
  if (final === 'u') return byCodePoint(fields);
  const modifiers = modified(fields[1]);
  if (final === '~') {
    const name = numberNames[Number(fields[0])];
    return name ? key(name, modifiers) : null;
  }
  // The Linux console's F5 is ESC [ [ E.
  if (body === '[') return final === 'E' ? key('f5') : null;
  const name = letterNames[final];
  return name ? key(name, final === 'Z' ? {...modifiers, shift: true} : modifiers) : null;
};

const pasteEnd = `${ESC}[201~`;

/** Length of the whole sequence at the start of `text` (which begins with ESC), or 0 while it is unfinished. */
const sequenceLength = (text: string): number => {
  const second = text[1];
  if (second === undefined) return 0;
  if (second === '[') {
    const match = /^\u001b\[(?:\[[A-E]|[0-?]*[ -/]*[@-~])/.exec(text);
    if (match) return match[0].length;
    return /^\u001b\[\[?[0-?]*[ -/]*$/.test(text) && text.length < 64 ? 0 : 2;
  }
  if (second === 'O') return text.length > 2 ? 3 : 0;
  if (second === '_' || second === 'P' || second === ']') {
    const end = /\u001b\\|\u0007/.exec(text.slice(2));
    if (end) return 2 + end.index + end[0].length;
    return text.length > LONGEST ? 2 : 0;
  }
  return second === ESC ? 1 : 1 + String.fromCodePoint(text.codePointAt(1)!).length;
};

const read = (text: string): Incoming | null => {
  const second = text[1];
  if (text.length === 1) return key('escape');
  if (second === '[' && text.length > 2) return sequence(text);
  if (second === 'O' && text.length === 3) return letterNames[text[2]!] ? key(letterNames[text[2]!]!) : null;
  if ((second === '_' || second === 'P' || second === ']') && text.length > 2) return {kind: 'answer', text};
  return typed(text.slice(1), true);
};

/**
 * Reads a terminal's bytes as keys, wherever the chunks are cut.
 * `push` hands on what is complete; `flush`, called when nothing followed for some milliseconds, takes a lone ESC as
 * the key of that name.
 */
export const createKeyReader = (
  receive: (incoming: Incoming) => void,
): {push(chunk: string): void; flush(): void; waiting(): boolean} => {
  let pending = '';
  const take = (): void => {
    while (pending !== '') {
      if (pending[0] !== ESC) {
        const sign = String.fromCodePoint(pending.codePointAt(0)!);
        if (/[\ud800-\udbff]/.test(sign) && pending.length === 1) return;
        pending = pending.slice(sign.length);
        receive(typed(sign, false));
        continue;
      }
      if (pending.startsWith(`${ESC}[200~`)) {
        const end = pending.indexOf(pasteEnd);
        // A paste whose end doesn't come would swallow every key after it.
        if (end < 0 && pending.length < LONGEST) return;
        if (end < 0) {
          pending = '';
          return;
        }
        receive({kind: 'paste', text: pending.slice(6, end)});
        pending = pending.slice(end + pasteEnd.length);
        continue;
      }
      const length = sequenceLength(pending);
      if (length === 0) return;
      const incoming = read(pending.slice(0, length));
      pending = pending.slice(length);
      if (incoming) receive(incoming);
    }
  };
  return {
    push: chunk => {
      pending += chunk;
      take();
    },
    flush: () => {
      if (pending === '' || pending.startsWith(`${ESC}[200~`)) return;
      const first = pending[0] === ESC ? key('escape') : null;
      pending = pending.length > 1 && first && /^\u001b[[OP_\]]/.test(pending) ? '' : pending.slice(1);
      if (first) receive(first);
      take();
    },
    waiting: () => pending !== '',
  };
};
