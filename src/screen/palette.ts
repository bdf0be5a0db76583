import {createContext, useContext} from 'react';
import type {Depth} from './terminal/depth.js';

/** How loud a text is. Three ranks are all there is; what a state means is said by words and marks. */
export type Rank = 'faint' | 'plain' | 'bright';

type Look = {color?: string; bold?: boolean; dimColor?: boolean};

export type Palette = {
  name: 'day' | 'night';
  depth: Depth;
  /** Colour of every cell that holds nothing; undefined leaves the terminal its own. */
  background: string | undefined;
  ranks: Record<Rank, Look>;
};

type Ranks = Palette['ranks'];

const ranksOf = (faint: string, plain: string, bright: string): Ranks => ({
  faint: {color: faint},
  plain: {color: plain},
  bright: {color: bright},
});

const uncoloured: Ranks = {faint: {dimColor: true}, plain: {}, bright: {bold: true}};

/** As in a darkroom: red alone, no brighter than it takes to read. */
const night: Record<Depth, Pick<Palette, 'background' | 'ranks'>> = {
  all: {background: '#000000', ranks: ranksOf('#640000', '#960000', '#d20000')},
  many: {background: 'ansi256(16)', ranks: ranksOf('ansi256(52)', 'ansi256(88)', 'ansi256(160)')},
  sixteen: {
    background: 'black',
    ranks: {faint: {color: 'red', dimColor: true}, plain: {color: 'red'}, bright: {color: 'red', bold: true}},
  },
  none: {background: undefined, ranks: uncoloured},
};

/** Lamp light on dark cloth. */
const day: typeof night = {
  all: {background: '#17130e', ranks: ranksOf('#8d8271', '#d3c8b4', '#ffd68f')},
  many: {background: 'ansi256(233)', ranks: ranksOf('ansi256(244)', 'ansi256(252)', 'ansi256(222)')},
  sixteen: {
    background: 'black',
    ranks: {faint: {color: 'white', dimColor: true}, plain: {color: 'white'}, bright: {color: 'yellow', bold: true}},
  },
  none: {background: undefined, ranks: uncoloured},
};

export const paletteOf = (name: 'day' | 'night', depth: Depth): Palette => ({
  name,
  depth,
  ...(name === 'night' ? night : day)[depth],
});

export const PaletteContext = createContext<Palette>(paletteOf('night', 'none'));

/** The palette in force. */
export const usePalette = (): Palette => useContext(PaletteContext);
