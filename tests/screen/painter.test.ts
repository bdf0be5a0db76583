import {describe, expect, it} from 'vitest';
import type {Depth} from '../../src/screen/terminal/depth.js';
import {createPainter, type Overlay} from '../../src/screen/terminal/painter.js';
import {emulate} from './emulate.js';

const open = (depth: Depth = 'all', columns = 20, rows = 5) => {
  const screen = emulate(columns, rows);
  const written: string[] = [];
  const painter = createPainter({
    write: text => {
      written.push(text);
      screen.write(text);
    },
    later: paint => paint(),
    columns,
    rows,
    depth,
  });
  return {screen, painter, written};
};

const padded = (lines: string[], columns = 20): string => lines.map(line => line.padEnd(columns)).join('\n');

const square: Overlay = {left: 4, top: 1, height: 2, rows: ['abc', 'def'], sharp: null};

describe('the painter', () => {
  it('puts every row at its place', async () => {
    const {screen, painter} = open();
    painter.frame(padded(['one', 'two', 'three', 'four', 'five']));
    expect(await screen.rows()).toEqual(['one', 'two', 'three', 'four', 'five'].map(row => row.padEnd(20)));
  });

  it('writes only rows that changed', () => {
    const {painter, written} = open();
    painter.frame(padded(['one', 'two', 'three', 'four', 'five']));
    painter.frame(padded(['one', 'two', 'THREE', 'four', 'five']));
    expect(written.at(-1)).toContain('THREE');
    expect(written.at(-1)).not.toContain('four');
  });

  it('writes nothing for a frame that is the same', () => {
    const {painter, written} = open();
    painter.frame(padded(['one']));
    const before = written.length;
    painter.frame(padded(['one']));
    expect(written).toHaveLength(before);
  });

  it('keeps a picture over rows that are written again, and takes it away without a trace', async () => {
    const {screen, painter} = open();
    painter.frame(padded(['1', '2', '3', '4', '5']));
    painter.overlay(square);
    expect((await screen.rows()).map(row => row.trimEnd())).toEqual(['1', '2   abc', '3   def', '4', '5']);
    painter.frame(padded(['1', 'x', 'y', '4', '5']));
    expect((await screen.rows()).map(row => row.trimEnd())).toEqual(['1', 'x   abc', 'y   def', '4', '5']);
    painter.overlay(null);
    expect((await screen.rows()).map(row => row.trimEnd())).toEqual(['1', 'x', 'y', '4', '5']);
  });

  it('erases a sharper picture before black, and draws it again afterwards', () => {
    const {painter, written} = open();
    painter.frame(padded(['1']));
    painter.overlay({...square, rows: [], sharp: {draw: '<draw>', erase: '<erase>'}});
    expect(written.at(-1)).toContain('<draw>');
    painter.black(true);
    expect(written.at(-1)).toContain('<erase>');
    painter.black(false);
    expect(written.at(-1)).toContain('<draw>');
    painter.overlay(null);
    expect(written.at(-1)).toContain('<erase>');
  });

  it.each([
    ['all', 'rgb 000000'],
    ['many', 'palette 16'],
    ['sixteen', 'palette 0'],
    ['none', 'palette 0'],
  ] as const)('makes every cell black with %s colours', async (depth, background) => {
    const {screen, painter} = open(depth);
    painter.frame(padded(['one', 'two', 'three', 'four', 'five']));
    painter.overlay(square);
    painter.black(true);
    expect(await screen.backgrounds()).toEqual([background]);
    expect((await screen.rows()).join('').trim()).toBe('');
  });

  it('draws nothing while black, whatever is asked of it, and all of it afterwards', async () => {
    const {screen, painter, written} = open();
    painter.frame(padded(['before']));
    painter.black(true);
    const before = written.length;
    painter.frame(padded(['after']));
    painter.overlay(square);
    painter.flush();
    expect(written).toHaveLength(before);
    painter.black(false);
    expect((await screen.rows())[0]!.trim()).toBe('after');
    expect((await screen.rows())[1]!).toContain('abc');
  });

  it('stays black at a resize, also in the new cells', async () => {
    const {screen, painter} = open();
    painter.frame(padded(['one']));
    painter.black(true);
    screen.resize(30, 8);
    painter.resize(30, 8);
    expect(await screen.backgrounds()).toEqual(['rgb 000000']);
  });

  it('leaves nothing of a wider frame behind where there are no colours', async () => {
    const {screen, painter} = open('none');
    painter.frame('a long line of text');
    painter.frame('short');
    expect((await screen.rows())[0]).toBe('short');
  });
});
