import path from 'node:path';
import {setTimeout as sleep} from 'node:timers/promises';
import {build} from 'rolldown';
import {afterEach, beforeAll, describe, expect, it} from 'vitest';
import {projectFolder} from '../built-program.js';
import {type Cell, keys, openTerminal, type PseudoTerminal} from './pseudo-terminal.js';

/** The scenes as one file: read from their sources, each start would take seconds. */
const scenes = path.join(projectFolder, 'node_modules/.cache/scenes');
beforeAll(async () => {
  await build({
    input: path.join(projectFolder, 'tests/terminal/fixtures/scene.tsx'),
    platform: 'node',
    external: ['sharp', 'react-devtools-core'],
    transform: {define: {'process.env.NODE_ENV': '"production"'}},
    output: {dir: scenes},
  });
});

let terminal: PseudoTerminal | null = null;
afterEach(() => {
  terminal?.kill('SIGKILL');
  terminal = null;
});

/** Opens one still scene of the screens and waits for its first frame. */
const scene = async (
  name: string,
  columns = 80,
  rows = 24,
  environment: Record<string, string | undefined> = {},
): Promise<PseudoTerminal> => {
  terminal = openTerminal([process.execPath, path.join(scenes, 'scene.js'), name], {
    columns,
    rows,
    environment,
  });
  await terminal.until(screen => screen.alternate() && screen.written().includes('\u001b[?2026l'));
  return terminal;
};

const all = (screen: PseudoTerminal, pick: (cell: Cell) => string): string[] => [
  ...new Set(screen.cells().flatMap(row => row.map(pick))),
];

const isRedAlone = (colour: string): boolean => /^rgb \d+ 0 0$/.test(colour);

describe('the screens in a terminal', {timeout: 60_000}, () => {
  it.each([
    [80, 24],
    [100, 30],
    [140, 45],
  ])('are black in every one of %d × %d cells while the shutter is open, without a cursor', async (columns, rows) => {
    const screen = await scene('open', columns, rows);
    await screen.until(now => all(now, cell => cell.background).join() === 'rgb 0 0 0');
    expect(all(screen, cell => cell.sign.trim())).toEqual(['']);
    expect(screen.cursorHidden()).toBe(true);
    // Nothing that happens meanwhile may light a cell: neither keys nor a new size.
    screen.type('n1?k');
    screen.resize(columns + 7, rows + 3);
    await sleep(400);
    await screen.until(now => all(now, cell => cell.background).join() === 'rgb 0 0 0');
    expect(all(screen, cell => cell.sign.trim())).toEqual(['']);
    expect(screen.cursorHidden()).toBe(true);
    screen.type(keys.pageUp);
    await screen.until(/ATTEMPT/);
  });

  it('are dim red on black and nothing else at night, the picture too', async () => {
    const screen = await scene('attempt', 100, 30);
    await screen.until(/try next[\s\S]*next attempt/);
    screen.type('n');
    const isNight = (now: PseudoTerminal): boolean => all(now, cell => cell.background).every(isRedAlone);
    await screen.until(now => isNight(now) && now.text().includes('▀'));
    const inks = screen
      .cells()
      .flatMap(row => row.filter(cell => cell.sign.trim() !== '').map(cell => cell.foreground));
    expect([...new Set(inks)].filter(colour => !isRedAlone(colour))).toEqual([]);
    expect(Math.max(...inks.map(colour => Number(colour.split(' ')[1])))).toBeLessThan(215);
  });

  it('say every state in words where there are no colours, and write none', async () => {
    const screen = await scene('attempt', 80, 24, {NO_COLOR: '1'});
    await screen.until(/× fail[\s\S]*≈ watch[\s\S]*· ok[\s\S]*next attempt/);
    await screen.until(/▓/);
    expect(all(screen, cell => `${cell.foreground} ${cell.background}`)).toEqual(['default default']);
    expect(screen.text()).toContain('3 ATTEMPT');
  });

  it('keep to sixteen colours where there are no more', async () => {
    const screen = await scene('attempt', 80, 24, {TERM: 'xterm', COLORTERM: undefined});
    await screen.until(/▓/);
    const used = all(screen, cell => cell.foreground).concat(all(screen, cell => cell.background));
    expect(used.filter(colour => !/^(default|palette ([0-9]|1[0-5]))$/.test(colour))).toEqual([]);
  });

  it('draw the picture over an empty box and take it away without a trace', async () => {
    const screen = await scene('attempt');
    await screen.until(/▀{20}/);
    screen.type('5');
    await screen.until(/WRAP/);
    await screen.until(now => !now.text().includes('▀'));
    screen.type('3');
    await screen.until(/ATTEMPT[\s\S]*▀{20}/);
  });

  it('paint cleanly at every size, and wait in one sentence where there is too little room', async () => {
    const screen = await scene('attempt');
    await screen.until(/▀{20}/);
    screen.resize(60, 18);
    await screen.until(/This window is 60 × 18; darkset needs 80 × 24\./);
    expect(screen.text()).not.toContain('▀');
    screen.resize(120, 40);
    await screen.until(/ATTEMPT[\s\S]*▀{40}[\s\S]*next attempt/);
    expect(screen.rows()).toHaveLength(40);
    expect(screen.text()).not.toContain('This window');
    expect(screen.text().match(/next attempt/g)).toHaveLength(1);
  });

  it('ask once for a key that is held down for two seconds', async () => {
    const screen = await scene('attempt');
    await screen.until(/try next[\s\S]*next attempt/);
    const hold = async (): Promise<number> => {
      let longestGapMs = 0;
      let sentMs = performance.now();
      screen.type(keys.pageDown);
      for (let repeat = 0; repeat < 50; repeat++) {
        await sleep(repeat === 0 ? 400 : 33);
        longestGapMs = Math.max(longestGapMs, performance.now() - sentMs);
        sentMs = performance.now();
        screen.type(keys.pageDown);
      }
      return longestGapMs;
    };
    // Help and back: what goes on next was then asked for by a key and didn't just come up by itself.
    const helpAndBack = async (): Promise<void> => {
      screen.type('?');
      await screen.until(/keys that work now/);
      screen.type(keys.escape);
      await screen.until(/try next/);
    };
    await helpAndBack();
    // A test that was itself held up has pressed twice, not held: then it was no trial, and is made again.
    let asked = 0;
    let gapMs = Number.POSITIVE_INFINITY;
    for (let trial = 0; gapMs > 600 && trial < 5; trial++) {
      if (trial > 0) {
        await sleep(1000);
        await helpAndBack();
        asked = Number(/asked: go on, time (\d+)$/m.exec(screen.text())?.[1] ?? 0);
      }
      gapMs = await hold();
      await screen.until(/asked: go on, time/);
    }
    await helpAndBack();
    expect(screen.text()).toMatch(new RegExp(`asked: go on, time ${asked + 1}$`, 'm'));
  });

  it('show in the help the keys that work now', async () => {
    const screen = await scene('attempt');
    await screen.until(/next attempt/);
    screen.type('?');
    await screen.until(/keys that work now, in attempt/);
    for (const word of [/space\s+next attempt/, /k\s+keep/, /s\s+series/, /4\s+look back/, /n\s+night/]) {
      expect(screen.text()).toMatch(word);
    }
    screen.type(keys.escape);
    await screen.until(/try next/);
  });

  it('leave the terminal as it was, with exit code 0', async () => {
    const screen = await scene('plan');
    await screen.until(/agree to/);
    screen.type(keys.escape);
    await screen.until(/stay here/);
    screen.type('q');
    expect(await screen.ended).toBe(0);
    await screen.until(now => !now.alternate());
    expect(screen.cursorHidden()).toBe(false);
    for (const mode of ['2004', '7', '1049']) {
      const on = mode === '7' ? '\u001b[?7h' : `\u001b[?${mode}l`;
      expect(screen.written().lastIndexOf(on)).toBeGreaterThan(
        screen.written().lastIndexOf(`\u001b[?${mode}${mode === '7' ? 'l' : 'h'}`),
      );
    }
  });

  it('leave it as it was also when they are ended from outside', async () => {
    const screen = await scene('attempt');
    await screen.until(/next attempt/);
    screen.kill('SIGTERM');
    await screen.ended;
    await screen.until(now => !now.alternate());
    expect(screen.cursorHidden()).toBe(false);
  });

  it('read out line by line what they show, for a screen reader', async () => {
    const screen = await scene('attempt', 80, 24, {INK_SCREEN_READER: 'true'});
    await screen.until(/Space goes on: next attempt\./);
    expect(screen.text()).toMatch(/Verdict: 1 to mend, 1 to watch, 5 checks ok\.\s*\n\s*fail: spill B/);
    expect(screen.text()).not.toContain('▀');
  });

  it('let no escape sequence of a camera, a file or a journal through', async () => {
    const screen = await scene('hostile');
    await screen.until(/next attempt/);
    expect(screen.written()).not.toContain('\u001b]0;');
    expect(screen.written()).not.toMatch(/[\u202a-\u202e\u2066-\u2069]/);
    for (const place of ['4 LOOK BACK', '5 WRAP', '2 PLATES', '1 PLAN']) {
      screen.type(place[0]!);
      await screen.until(new RegExp(place));
    }
    expect(screen.alternate()).toBe(true);
    expect(screen.written()).not.toContain('\u001b[2J\u001b[3J');
    expect(screen.rows().every(row => row.length <= 80)).toBe(true);
  });
});
