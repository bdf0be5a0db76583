import {setTimeout as sleep} from 'node:timers/promises';
import {type IPty, spawn} from '@lydell/node-pty';
import headless from '@xterm/headless';

/** One cell as a person would see it. */
export type Cell = {
  sign: string;
  /** "rgb 0 0 0", "palette 16", "default". */
  background: string;
  foreground: string;
};

export type PseudoTerminal = {
  /** What stands on the screen, row by row, without spaces at the ends. */
  rows(): string[];
  text(): string;
  cells(): Cell[][];
  /** Everything that the program wrote, as it wrote it. */
  written(): string;
  /** Whether the cursor was hidden, and whether the alternate screen is shown. */
  cursorHidden(): boolean;
  alternate(): boolean;
  type(keys: string): void;
  resize(columns: number, rows: number): void;
  /** Waits until the screen holds this; rejects with the screen when it doesn't come. */
  until(what: RegExp | ((terminal: PseudoTerminal) => boolean), withinMs?: number): Promise<void>;
  /** The program's process. */
  pid: number;
  /** Exit code, when the program has ended. */
  ended: Promise<number>;
  kill(signal?: string): void;
};

const colour = (isRgb: boolean, isDefault: boolean, value: number): string => {
  if (isDefault) return 'default';
  return isRgb ? `rgb ${value >> 16} ${(value >> 8) & 255} ${value & 255}` : `palette ${value}`;
};

/** Keys as a terminal sends them. */
export const keys = {
  space: ' ',
  enter: '\r',
  escape: '\u001b',
  pageDown: '\u001b[6~',
  pageUp: '\u001b[5~',
  up: '\u001b[A',
  down: '\u001b[B',
  right: '\u001b[C',
  left: '\u001b[D',
  f5: '\u001b[15~',
  tab: '\t',
  controlC: '\u0003',
} as const;

/**
 * Starts a program in a real pseudo-terminal, read by a terminal emulator that also answers its questions.
 * @param program file and arguments
 * @param environment on top of ours, without CI (in which Ink would draw nothing); undefined takes a variable away
 */
export const openTerminal = (
  program: string[],
  options: {columns: number; rows: number; environment?: Record<string, string | undefined>; folder?: string},
): PseudoTerminal => {
  const environment: Record<string, string> = {};
  const wanted = {
    ...process.env,
    TERM: 'xterm-256color',
    COLORTERM: 'truecolor',
    CI: undefined,
    NO_COLOR: undefined,
    ...options.environment,
  };
  for (const [name, value] of Object.entries(wanted)) if (value !== undefined) environment[name] = value;
  const screen = new headless.Terminal({cols: options.columns, rows: options.rows, allowProposedApi: true});
  let written = '';
  const child: IPty = spawn(program[0]!, program.slice(1), {
    name: environment.TERM!,
    cols: options.columns,
    rows: options.rows,
    env: environment,
    ...(options.folder === undefined ? {} : {cwd: options.folder}),
  });
  let running = true;
  screen.onData(answer => {
    if (running) child.write(answer);
  });
  child.onData(data => {
    written += data;
    screen.write(data);
  });
  const ended = new Promise<number>(resolve => {
    child.onExit(({exitCode}) => {
      running = false;
      resolve(exitCode);
    });
  });
  const line = (row: number) => screen.buffer.active.getLine(screen.buffer.active.viewportY + row)!;
  const terminal: PseudoTerminal = {
    rows: () => Array.from({length: screen.rows}, (_, row) => line(row).translateToString(true).trimEnd()),
    text: () => terminal.rows().join('\n'),
    cells: () =>
      Array.from({length: screen.rows}, (_, row) =>
        Array.from({length: screen.cols}, (_, column) => {
          const cell = line(row).getCell(column)!;
          return {
            sign: cell.getChars(),
            background: colour(cell.isBgRGB(), cell.isBgDefault(), cell.getBgColor()),
            foreground: colour(cell.isFgRGB(), cell.isFgDefault(), cell.getFgColor()),
          };
        }),
      ),
    written: () => written,
    cursorHidden: () => written.lastIndexOf('\u001b[?25l') > written.lastIndexOf('\u001b[?25h'),
    alternate: () => screen.buffer.active.type === 'alternate',
    type: text => child.write(text),
    resize: (columns, rows) => {
      child.resize(columns, rows);
      screen.resize(columns, rows);
    },
    until: async (what, withinMs = 25_000) => {
      const holds = typeof what === 'function' ? what : (): boolean => what.test(terminal.text());
      const end = performance.now() + withinMs;
      for (;;) {
        await new Promise<void>(resolve => screen.write('', resolve));
        // In the middle of a synchronised update the screen is neither the old nor the new frame.
        const isWhole = written.lastIndexOf('\u001b[?2026l') >= written.lastIndexOf('\u001b[?2026h');
        if (isWhole && holds(terminal)) return;
        if (performance.now() > end) throw new Error(`The screen never held ${what}. It holds:\n${terminal.text()}`);
        await sleep(30);
      }
    },
    pid: child.pid,
    ended,
    kill: signal => {
      if (running) child.kill(signal);
    },
  };
  return terminal;
};
