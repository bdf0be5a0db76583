/**
 * Makes the README's pictures: shoots on the simulated room with the built program in a real pseudo-terminal, and
 * writes what stands on its screen into fixtures/pictures. Run by `npx tsx tests/terminal/pictures.ts`.
 */
import {mkdir, mkdtemp, rm, writeFile} from 'node:fs/promises';
import {tmpdir} from 'node:os';
import path from 'node:path';
import {setTimeout as sleep} from 'node:timers/promises';
import {fileURLToPath} from 'node:url';
import {demoRig} from '../../shared/rig.js';
import {drawRigSvg} from '../../src/light/rig-drawing-svg.js';
import {keys, openTerminal} from './pseudo-terminal.js';
import {svgOf} from './svg.js';

const project = fileURLToPath(new URL('../..', import.meta.url));
const pictures = path.join(project, 'fixtures/pictures');

/** How long one step may take, on a machine that has other work. */
const stepMs = 180_000;

/** Seed 401 is the evening that a newcomer meets: its first painting crosses the face, its second goes too high. */
const evening = await mkdtemp(path.join(tmpdir(), 'darkset-pictures-'));
const screen = openTerminal(
  [
    process.execPath,
    path.join(project, 'dist/src/command/main.js'),
    'lantern-keeper',
    ...['--camera', 'studio', '--speed', '10', '--seed', '401', '--no-sound'],
  ],
  {columns: 100, rows: 30, folder: evening},
);

const brightLine = (): string => /^ +space +(.*)$/m.exec(screen.text())?.[1]?.trim() ?? '';
const hasPicture = (): boolean =>
  screen
    .cells()
    .flat()
    .filter(cell => cell.sign === '▀').length > 200;

/** Goes on, key by key, until the screen holds what is waited for. */
const goOnUntil = async (holds: () => boolean): Promise<void> => {
  const endMs = performance.now() + stepMs;
  let askedLast = '';
  while (!holds()) {
    if (performance.now() > endMs) throw new Error(`This never came. The screen holds:\n${screen.text()}`);
    const asked = brightLine();
    // The same question twice running is answered again only when it still stands after a while.
    if (asked !== '') {
      screen.type(keys.space);
      await sleep(asked === askedLast ? 2000 : 700);
      askedLast = asked;
    } else {
      await sleep(100);
    }
    await screen.until(() => true);
  }
};

const draw = async (name: string, title: string): Promise<void> => {
  // What is still being painted comes to rest.
  await sleep(1200);
  await screen.until(() => true);
  const file = path.join(pictures, `${name}.svg`);
  await writeFile(file, svgOf(screen.cells(), title));
  process.stdout.write(`${path.relative(project, file)}\n`);
};

try {
  await mkdir(pictures, {recursive: true});
  await screen.until(/1 PLAN/, stepMs);
  await draw('plan', 'Plan: the exposure, the lights, and what they will do');
  await goOnUntil(() => /this is the head/.test(screen.text()) && hasPicture());
  await draw('plates', 'Plates: the sitter lit by both flashes, with the outline of the head');
  await goOnUntil(() => /you say/.test(screen.text()));
  await draw('preflight', 'Preflight: what is asked before the shutter opens');
  await goOnUntil(() => /attempt 1: /.test(screen.text()) && hasPicture());
  await draw('attempt', 'Attempt 1: the frame, its verdict, and what to change');
  // At the camera, with the room light on, the colours of the day show the frame as it is.
  screen.type('n');
  await draw('attempt-by-day', 'Attempt 1 in day colours: the frame, its verdict, and what to change');
  await goOnUntil(() => /attempt 2: /.test(screen.text()) && hasPicture());
  screen.type('4');
  await screen.until(/4 LOOK BACK/, stepMs);
  await screen.until(() => hasPicture(), stepMs);
  await draw('look-back', 'Look back: the attempts, how each reading moved, and the frame');
  // The set from above comes from the same hand as the set-up sheet's.
  await writeFile(path.join(pictures, 'set-up.svg'), drawRigSvg(demoRig));
} finally {
  screen.type(keys.controlC);
  await Promise.race([screen.ended, sleep(10_000)]);
  screen.kill('SIGKILL');
  await rm(evening, {recursive: true, force: true});
}
