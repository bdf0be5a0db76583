import {mkdtemp, readFile, rm} from 'node:fs/promises';
import {tmpdir} from 'node:os';
import path from 'node:path';
import {setTimeout as sleep} from 'node:timers/promises';
import {afterEach, beforeEach, describe, expect, it} from 'vitest';
import {type JournalEntry, journalEntrySchema} from '../../shared/journal.js';
import {builtProgram, projectFolder} from '../built-program.js';
import {keys, openTerminal, type PseudoTerminal} from './pseudo-terminal.js';

let folder = '';
let terminal: PseudoTerminal | null = null;
beforeEach(async () => {
  folder = path.join(await mkdtemp(path.join(tmpdir(), 'darkset-shoot-')), 'evening');
});
afterEach(async () => {
  terminal?.kill('SIGKILL');
  terminal = null;
  await rm(path.dirname(folder), {recursive: true, force: true});
});

const journal = async (): Promise<JournalEntry[]> => {
  const text = await readFile(path.join(folder, 'shoot.jsonl'), 'utf8').catch(() => '');
  return text.split('\n').flatMap(line => {
    try {
      return [journalEntrySchema.parse(JSON.parse(line))];
    } catch {
      return [];
    }
  });
};

const isOpen = (entries: JournalEntry[]): boolean => {
  const opened = entries.filter(entry => entry.kind === 'shutter-opened').length;
  const closed = entries.filter(entry => entry.kind === 'shutter-closed').length;
  return opened > closed;
};

/** Colours and signs of the cells that are not black and empty. */
const lit = (screen: PseudoTerminal): string[] =>
  screen
    .cells()
    .flatMap(row => row.map(cell => `${cell.background}${cell.sign.trim()}`))
    .filter(cell => cell !== 'rgb 0 0 0');

const hasVerdict = (screen: PseudoTerminal): boolean =>
  /attempt 1: .*(to mend|to watch|everything is right)/.test(screen.text());

describe('a newcomer who knows one key', () => {
  it.each([
    [80, 24, 'space'],
    [100, 30, 'enter'],
    [140, 45, 'pageDown'],
  ] as const)(
    'comes from an empty folder through plates to a verdict at %d × %d, by %s alone',
    {timeout: 400_000},
    async (columns, rows, key) => {
      const screen = openTerminal(
        [
          ...[process.execPath, builtProgram, folder],
          ...['--camera', 'studio', '--speed', '10', '--seed', '7', '--no-sound'],
        ],
        {columns, rows, folder: projectFolder},
      );
      terminal = screen;
      await screen.until(now => now.alternate() && /space/.test(now.text()), 60_000);
      let looked = 0;
      /** What the bright line said when the key was pressed. */
      const asked = new Set<string>();
      let pressedMs = 0;
      const endMs = performance.now() + 360_000;
      while (!hasVerdict(screen) && performance.now() < endMs) {
        await sleep(60);
        if (isOpen(await journal())) {
          await screen.until(() => true);
          const found = lit(screen);
          const cursorHidden = screen.cursorHidden();
          // It counts only when the shutter was open before and after the look.
          if (isOpen(await journal())) {
            expect(found).toEqual([]);
            expect(cursorHidden).toBe(true);
            looked++;
          }
          continue;
        }
        await screen.until(() => true);
        if (/^ +space /m.test(screen.text()) && performance.now() - pressedMs > 850) {
          screen.type(keys[key]);
          asked.add(/^ +space +(.*)$/m.exec(screen.text())![1]!.trim());
          pressedMs = performance.now();
        }
      }
      expect(screen.text()).toMatch(/attempt 1: /);
      expect(hasVerdict(screen), screen.text()).toBe(true);
      expect(looked).toBeGreaterThan(0);
      expect([...asked].length, [...asked].join('\n')).toBeLessThan(14);

      const entries = await journal();
      const plates = entries.flatMap(entry => (entry.kind === 'plate-taken' ? [entry.plate] : []));
      expect(new Set(plates)).toEqual(new Set(['dark', 'light A', 'light B', 'sitter']));
      expect(entries.some(entry => entry.kind === 'zones-set')).toBe(true);
      // The room was told of before the first opening, which waited for the key.
      const steps = entries.flatMap(({kind}) => (/^(room-checked|shutter-opened|measured)$/.test(kind) ? [kind] : []));
      expect(steps).toEqual(['room-checked', 'shutter-opened', 'measured']);
      expect(entries.some(entry => entry.kind === 'measured' && entry.attempt === 1)).toBe(true);
      // The picture of the frame is there, at night in red alone.
      await screen.until(now => now.cells().some(row => row.some(cell => cell.sign === '▀')));
      const inks = screen.cells().flatMap(row => row.filter(cell => cell.sign === '▀').map(cell => cell.foreground));
      expect([...new Set(inks)].filter(ink => !/^rgb \d+ 0 0$/.test(ink))).toEqual([]);

      screen.type(keys.controlC);
      expect(await screen.ended).toBe(0);
      await screen.until(now => !now.alternate());
      expect(screen.cursorHidden()).toBe(false);
    },
  );
});
