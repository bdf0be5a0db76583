/** What the terminal said that it can do. */
export type TerminalAbility = {
  /** The sharper picture it has: `direct` takes pixels by the graphics protocol with APC, `sixel` by DEC's sixels. */
  sharp: 'none' | 'direct' | 'sixel';
  /** Size of one cell in pixels; null where it doesn't tell. */
  cell: {width: number; height: number} | null;
  /** Whether it tells a key's press, repeat and release apart (progressive keyboard protocol, CSI u). */
  keyEvents: boolean;
  /** Its own background, as it names it ("rgb:ffff/ffff/ffff"); null where it doesn't tell. */
  background: string | null;
};

export const plainTerminal: TerminalAbility = {sharp: 'none', cell: null, keyEvents: false, background: null};

const CSI = '\u001b[';
/** Primary device attributes (ECMA-48 DA, answered by every terminal emulator), which also ends a list of questions. */
const ATTRIBUTES = `${CSI}c`;
/** Keyboard protocol, cell size, background, and a one-pixel picture that is only asked about, never shown. */
const QUESTIONS = `${CSI}?u${CSI}16t\u001b]11;?\u001b\\\u001b_Gi=31,s=1,v=1,a=q,t=d,f=24;AAAA\u001b\\${ATTRIBUTES}`;

/**
 * Asks the terminal what it can do, by standard questions, and never assumes.
 *
 * The first question is understood everywhere. Only a terminal that answers like a VT220 or later gets the others:
 * older ones and plain consoles might print a question that they don't know.
 */
export const createTalk = (
  write: (text: string) => void,
  known: (ability: TerminalAbility) => void,
): {ask(): void; answer(text: string): void} => {
  let ability = plainTerminal;
  let asked: 'nothing' | 'attributes' | 'all' | 'done' = 'nothing';
  let hasSixel = false;
  let hasDirect = false;
  return {
    ask: () => {
      asked = 'attributes';
      write(ATTRIBUTES);
    },
    answer: text => {
      if (asked === 'nothing' || asked === 'done') return;
      const attributes = /^\u001b\[\?([\d;]*)c$/.exec(text);
      const cell = /^\u001b\[6;(\d{1,3});(\d{1,3})t$/.exec(text);
      if (cell && Number(cell[1]) > 0 && Number(cell[2]) > 0) {
        ability = {...ability, cell: {width: Number(cell[2]), height: Number(cell[1])}};
      }
      const background = /^\u001b\]11;(rgb:[\da-f/]{5,20})(?:\u0007|\u001b\\)$/i.exec(text);
      if (background) ability = {...ability, background: background[1]!};
      if (/^\u001b\[\?\d+u$/.test(text)) ability = {...ability, keyEvents: true};
      if (/^\u001b_Gi=31;OK/.test(text)) hasDirect = true;
      if (!attributes) return;
      const numbers = attributes[1]!.split(';').map(Number);
      hasSixel ||= numbers.slice(1).includes(4);
      if (asked === 'attributes' && numbers[0]! >= 60) {
        asked = 'all';
        write(QUESTIONS);
        return;
      }
      asked = 'done';
      const sharp = ability.cell === null ? 'none' : hasDirect ? 'direct' : hasSixel ? 'sixel' : 'none';
      known({...ability, sharp});
    },
  };
};
