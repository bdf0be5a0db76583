import {access, constants} from 'node:fs/promises';
import {doctorGphoto2} from '../../adapters/gphoto2/doctor.js';
import {testSound} from '../../adapters/sound/test-sound.js';
import {plainText} from '../../shared/plain-text.js';
import {colourDepth} from '../screen/terminal/depth.js';
import {diskTrouble, freeBytes} from '../shoot/disk.js';
import {byteSize} from '../shoot/units.js';
import {libraryLogFile} from './library-log.js';
import {programName} from './program.js';

type Finding = {what: string; state: 'ok' | 'watch' | 'fail'; say: string; fix: string | null};

const ok = (what: string, say: string): Finding => ({what, state: 'ok', say, fix: null});
const watch = (what: string, say: string, fix: string): Finding => ({what, state: 'watch', say, fix});

const soundFindings = async (play: boolean): Promise<Finding[]> => {
  const {output, speech, say} = await testSound({ring: () => process.stderr.write('\u0007')}, play);
  if (output === 'bell') return [watch('sound', say, 'connect or switch on a sound device; speech needs one too')];
  return [
    ok('sound', say),
    speech
      ? ok('speech', 'Verdicts can be spoken.')
      : watch('speech', 'No speech program is here; tones and large text serve.', 'apt install espeak-ng'),
  ];
};

const pictures = {
  all: 'The picture is drawn in half blocks, in all colours; sharper where the terminal says that it can.',
  many: 'The picture is drawn in half blocks, in 256 colours.',
  sixteen: 'The picture is drawn in half blocks, in 16 colours only.',
  none: 'The terminal shows no colours: the picture is drawn in shades of letters or not at all.',
} as const;

const terminalFinding = (): Finding => {
  const depth = colourDepth(process.env);
  const {columns, rows} = process.stdout;
  if (!process.stdout.isTTY)
    return watch('terminal', 'This is no terminal; the screens need one.', 'run darkset in a terminal');
  const say = `${columns} × ${rows} characters. ${pictures[depth]}`;
  if (columns < 80 || rows < 24) return watch('terminal', say, 'make it 80 × 24 or larger');
  return depth === 'all' ? ok('terminal', say) : watch('terminal', say, 'use a terminal that sets COLORTERM=truecolor');
};

const folderFinding = async (what: string, folder: string): Promise<Finding> => {
  try {
    await access(folder, constants.W_OK);
  } catch (error) {
    return {
      what,
      state: 'fail',
      say: `${folder} can't be written: ${diskTrouble(error)}.`,
      fix: 'start darkset in a folder of yours',
    };
  }
  const free = await freeBytes(folder);
  return ok(what, `${folder} can be written${free === null ? '' : `, ${byteSize(free)} free`}.`);
};

/**
 * Looks at everything a shoot needs of this machine and says what works and how to mend what does not.
 * @returns exit code: 1 when something has failed (what is only missing, like a camera, is to be watched), else 0
 */
export const doctor = async (options: {sound?: boolean; json?: boolean}): Promise<0 | 1> => {
  const [{lines}, sound, folder] = await Promise.all([
    doctorGphoto2(),
    soundFindings(options.sound ?? false),
    folderFinding('folder', process.cwd()),
  ]);
  const studio = ok('studio', 'The simulated room always works: darkset --camera studio.');
  // A missing library keeps nobody from the simulated room or a watched folder.
  const cameras = lines.map(line =>
    line.what === 'library' && line.state === 'fail' ? {...line, state: 'watch' as const} : line,
  );
  const findings: Finding[] = [
    ok('program', `${programName} on Node ${process.versions.node}, ${process.platform}.`),
    ...cameras,
    studio,
    ...sound,
    terminalFinding(),
    folder,
    ok('log', `What the camera library says is written to ${libraryLogFile}.`),
  ];
  if (options.json) process.stdout.write(`${JSON.stringify({schema: 1, findings}, null, 2)}\n`);
  else {
    const text = findings.flatMap(({what, state, say, fix}) => [
      `${state.padEnd(6)} ${what.padEnd(12)} ${say}`,
      ...(fix === null ? [] : [`${' '.repeat(20)}→ ${fix}`]),
    ]);
    process.stdout.write(`${text.map(plainText).join('\n')}\n`);
  }
  return findings.some(({state}) => state === 'fail') ? 1 : 0;
};
