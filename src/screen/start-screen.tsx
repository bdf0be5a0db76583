import {PassThrough} from 'node:stream';
import type {Session} from '../shoot/state.js';
import {watchShutter} from './blackout.js';
import {firstFrame} from './first-frame.js';
import {createModel} from './model.js';
import {colourDepth} from './terminal/depth.js';
import {InkStream} from './terminal/ink-stream.js';
import {createKeyReader} from './terminal/keys.js';
import {createPainter} from './terminal/painter.js';
import {quietConsole} from './terminal/quiet-console.js';
import {createTalk, plainTerminal, type TerminalAbility} from './terminal/talk.js';
import {enterTerminal} from './terminal/terminal.js';

/** The one sentence for output or input that is no terminal; wrong use, exit code 2. */
export const notATerminal =
  'The screens need a terminal, and this is a file or a pipe. In a terminal, type: darkset; for scripts there are darkset measure, plan, attempts, wrap, verify and doctor.';

export type ScreenOptions = {
  session: Session;
  stdout: NodeJS.WriteStream;
  stdin: NodeJS.ReadStream;
  environment: Readonly<Record<string, string | undefined>>;
  /** Opens a file in the system's viewer. Null when it was handed over, else one sentence. */
  view?(path: string): Promise<string | null>;
  /** Called when the first place stands on the terminal, or never will. */
  drawn?(): void;
};

const noViewer = async (): Promise<string> => 'There is no viewer here that could open the file.';

/** A lone ESC is the key itself when nothing follows it for this long. */
const ESCAPE_MS = 40;

const size = (stdout: NodeJS.WriteStream): {columns: number; rows: number} => ({
  columns: stdout.columns || 80,
  rows: stdout.rows || 24,
});

/** The first and the second time that somebody asks to leave. */
const createLeaving = (): {leave(): void; first: Promise<void>; second: Promise<void>} => {
  const waiting: (() => void)[] = [];
  const next = (): Promise<void> => new Promise(resolve => waiting.push(resolve));
  const [first, second] = [next(), next()];
  return {leave: () => waiting.shift()?.(), first, second};
};

/**
 * Opens the screens on a terminal and keeps them until the person leaves.
 * @returns `done` resolves when the session is closed and the terminal is as it was before
 */
export const startScreen = (options: ScreenOptions): {done: Promise<void>} => {
  const {session, stdout, stdin, environment} = options;
  const depth = colourDepth(environment);
  const reads = environment.INK_SCREEN_READER === 'true';
  const write = (text: string): void => void stdout.write(text);
  const giveConsoleBack = quietConsole();
  const terminal = enterTerminal(stdout, stdin);
  const painter = createPainter({write, later: paint => setImmediate(paint), ...size(stdout), depth});
  const stream = new InkStream(size(stdout).columns, size(stdout).rows, painter.frame);

  const leaving = createLeaving();
  const {leave} = leaving;
  const model = createModel(session, {quit: leave, view: options.view ?? noViewer, now: () => performance.now()});
  if (!reads) painter.frame(firstFrame(session.state(), size(stdout).columns, size(stdout).rows, depth));
  painter.flush();
  const stopWatching = watchShutter(session, painter.black);

  let ability: TerminalAbility = plainTerminal;
  let draw = (): void => {};
  const talk = createTalk(write, known => {
    ability = known;
    if (known.keyEvents) terminal.tellKeyEvents();
    if (known.background !== null) terminal.darkMargins(known.background);
    draw();
  });
  const keys = createKeyReader(incoming => {
    if (incoming.kind === 'answer') talk.answer(incoming.text);
    else if (incoming.kind === 'paste') model.paste(incoming.text);
    else if (incoming.key.ctrl && incoming.key.name === 'l') painter.repaint();
    else model.press(incoming.key);
  });
  let loneEscape: NodeJS.Timeout | null = null;
  const onData = (chunk: string): void => {
    if (loneEscape) clearTimeout(loneEscape);
    loneEscape = null;
    keys.push(chunk);
    if (keys.waiting()) loneEscape = setTimeout(keys.flush, ESCAPE_MS);
  };
  const onResize = (): void => {
    const {columns, rows} = size(stdout);
    painter.resize(columns, rows);
    stream.resize(columns, rows);
  };
  const onResume = (): void => {
    terminal.enterAgain();
    painter.repaint();
  };
  stdin.setEncoding('utf8');
  stdin.on('data', onData);
  stdin.on('end', leave);
  stdout.on('resize', onResize);
  // A terminal that went away (its window was closed) fails every write from then on: the shoot is closed safely.
  stdout.on('error', leave);
  process.on('SIGCONT', onResume);
  process.on('SIGTERM', leave);
  process.on('SIGHUP', leave);

  const run = async (): Promise<void> => {
    // React's development build is several times slower; the variable must be set before it is loaded.
    process.env.NODE_ENV = 'production';
    const [{render}, {createElement}, {App}, {Reader}] = await Promise.all([
      import('ink'),
      import('react'),
      import('./app.js'),
      import('./reader.js'),
    ]);
    const element = () =>
      reads ? createElement(Reader, {model}) : createElement(App, {model, session, painter, ability, depth});
    const instance = render(element(), {
      // The two parts of a terminal stream that Ink uses: its size and frames written to it.
      stdout: stream as unknown as NodeJS.WriteStream,
      stdin: new PassThrough() as unknown as NodeJS.ReadStream,
      debug: true,
      interactive: true,
      exitOnCtrlC: false,
      patchConsole: false,
      isScreenReaderEnabled: reads,
    });
    draw = () => instance.rerender(element());
    setImmediate(() => {
      model.ready();
      options.drawn?.();
    });
    if (!reads && depth !== 'none') talk.ask();
    await leaving.first;
    model.close();
    // Whoever asks a second time does not want to wait for a camera that doesn't answer.
    await Promise.race([session.close(), leaving.second]);
    instance.unmount();
  };

  const done = run().finally(() => {
    options.drawn?.();
    painter.close();
    stopWatching();
    model.stop();
    stdin.off('data', onData);
    stdout.off('resize', onResize);
    process.off('SIGCONT', onResume);
    process.off('SIGTERM', leave);
    process.off('SIGHUP', leave);
    terminal.leave();
    for (const line of giveConsoleBack()) process.stderr.write(`${line}\n`);
  });
  return {done};
};
