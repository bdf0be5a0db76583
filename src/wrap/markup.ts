/** Text that is markup already. Only `markup` and `trusted` make it, so that nothing is escaped twice or not at all. */
export class Markup {
  constructor(readonly text: string) {}
  toString(): string {
    return this.text;
  }
}

type Piece = Markup | string | number | null | false | readonly Piece[];

/** What XML 1.0 forbids, controls, marks of direction and noncharacters; tab and newline stay. */
const unfit =
  /[\u0000-\u0008\u000b-\u001f\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ufdd0-\ufdef]|[\ufffe\uffff\u{1fffe}\u{1ffff}\u{2fffe}\u{2ffff}\u{3fffe}\u{3ffff}\u{4fffe}\u{4ffff}\u{5fffe}\u{5ffff}\u{6fffe}\u{6ffff}\u{7fffe}\u{7ffff}\u{8fffe}\u{8ffff}\u{9fffe}\u{9ffff}\u{afffe}\u{affff}\u{bfffe}\u{bffff}\u{cfffe}\u{cffff}\u{dfffe}\u{dffff}\u{efffe}\u{effff}\u{ffffe}\u{fffff}\u{10fffe}\u{10ffff}]/gu;

/** Any text as text that XML, HTML and SVG can all hold. */
export const cleanText = (text: string): string => text.replace(/\r\n?/g, '\n').toWellFormed().replace(unfit, ' ');

const entities: Record<string, string> = {'&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&#39;'};

const escaped = (text: string): string => cleanText(text).replace(/[&<>"']/g, sign => entities[sign]!);

const print = (piece: Piece): string => {
  if (piece instanceof Markup) return piece.text;
  if (piece === null || piece === false) return '';
  if (typeof piece === 'object') return piece.map(print).join('');
  return escaped(String(piece));
};

/**
 * A template for HTML, SVG and XML alike: whatever is put in is escaped, for text and for quoted attributes; other markup
 * and lists of it go in as they are; null and false leave nothing.
 */
export const markup = (template: TemplateStringsArray, ...pieces: Piece[]): Markup =>
  new Markup(template.reduce((text, part, index) => text + print(pieces[index - 1] ?? null) + part));

/** Markup that another part of this program made and has escaped itself. */
export const trusted = (text: string): Markup => new Markup(text);
