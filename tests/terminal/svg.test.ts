import {describe, expect, it} from 'vitest';
import type {Cell} from './pseudo-terminal.js';
import {svgOf} from './svg.js';

const rowOf = (text: string, foreground = 'rgb 255 214 143', background = 'rgb 0 0 0'): Cell[] =>
  [...text].map(sign => ({sign, foreground, background}));

describe('a screen as SVG', () => {
  it('keeps what is written there, and makes no markup of it', () => {
    const svg = svgOf([rowOf('<b> & "q"')], 'a < b');
    expect(svg).toContain('>&lt;b&gt; &amp; &quot;q&quot;</text>');
    expect(svg).toContain('<title>a &lt; b</title>');
  });

  it('draws a half block as ink over ground, and cells of one colour as one rectangle', () => {
    const svg = svgOf(
      [rowOf(' '), rowOf('▀', 'rgb 255 0 0', 'rgb 0 0 255')].map(row => [...row, ...row]),
      '',
    );
    expect(svg).toContain('<rect x="0" y="16" width="16" height="8" fill="#f00"/>');
    expect(svg).toContain('<rect x="0" y="24" width="16" height="8" fill="#00f"/>');
    expect(svg).not.toContain('▀');
  });

  it('begins words after a gap at their own column', () => {
    expect(svgOf([rowOf('ab   c')], '')).toMatch(/<text x="0" .*>ab<\/text>\n<text x="40" .*>c<\/text>/);
  });
});
