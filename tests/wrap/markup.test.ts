import {execFileSync} from 'node:child_process';
import {mkdtempSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import fc from 'fast-check';
import {expect, test} from 'vitest';
import {cleanText, markup, trusted} from '../../src/wrap/markup.js';
import {needs} from '../needs.js';
import {hostileText} from './made-shoot.js';

test('text is escaped once for text and for quoted attributes, markup and lists of it go in as they are', () => {
  const inner = markup`<b title="${'"a" & \'b\''}">${'<i>'}</b>`;
  expect(inner.text).toBe('<b title="&quot;a&quot; &amp; &#39;b&#39;">&lt;i&gt;</b>');
  expect(markup`${[inner, null, false, ' &amp; ', 7]}${trusted('<hr />')}`.text).toBe(
    `${inner.text} &amp;amp; 7<hr />`,
  );
});

test('what XML forbids, marks of direction and lone surrogates never come through', () => {
  fc.assert(
    fc.property(fc.string({unit: 'binary'}), text => {
      const clean = cleanText(text);
      expect(clean.isWellFormed()).toBe(true);
      expect(clean).not.toMatch(
        /[\u0000-\u0008\u000b-\u001f\u007f-\u009f\u200e\u200f\u202a-\u202e\u2066-\u2069\ufffe\uffff]/u,
      );
    }),
  );
  expect(cleanText('a\r\nb\tc')).toBe('a\nb\tc');
});

test('xmllint takes any text in elements and attributes, and gives it back', context => {
  needs(context, 'xmllint', 'libxml2-utils');
  const file = path.join(mkdtempSync(path.join(tmpdir(), 'darkset-markup-')), 'a.xml');
  const texts = [hostileText, ...fc.sample(fc.string({unit: 'binary', maxLength: 40}), 300)];
  const xml = markup`<all>${texts.map(text => markup`<one it="${text}">${text}</one>`)}</all>`;
  writeFileSync(file, xml.text);
  const said = execFileSync('xmllint', ['--xpath', 'string(/all/one[1])', file], {encoding: 'utf8'});
  expect(said.replace(/\n$/, '')).toBe(cleanText(hostileText));
});
