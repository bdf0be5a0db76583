#!/usr/bin/env node
import module from 'node:module';
import {Command, CommanderError, InvalidArgumentError, Option} from 'commander';
import {plainText} from '../../shared/plain-text.js';
import {complain} from './complain.js';

/*
 * The command line. Every command's work is loaded only when it is asked for, so that the first screen comes quickly.
 */

// Node 22.1 and later keep what they compiled for the next start.
if ('enableCompileCache' in module && typeof module.enableCompileCache === 'function') module.enableCompileCache();

const numberBetween =
  (what: string, least: number, most: number) =>
  (text: string): number => {
    const value = text.trim() === '' ? Number.NaN : Number(text.replace('−', '-'));
    if (!(value >= least && value <= most)) {
      throw new InvalidArgumentError(`${what} is a number from ${least} to ${most}.`);
    }
    return value;
  };

const example = (...lines: string[]): string => `\nExample:\n${lines.map(line => `  ${line}`).join('\n')}\n`;

const json = ['--json', 'print JSON and nothing else'] as const;

const program = new Command('darkset')
  .description('For a photographer who works alone in a dark room: plan, shoot, measure, change, keep.')
  // A command's own --rig belongs to the command.
  .enablePositionalOptions()
  .argument('[shoot]', "the shoot's folder; made if it isn't there (default: a folder with today's date)")
  .option(
    '--camera <which>',
    'studio, inbox:FOLDER, usb, or ip:HOST[:PORT] (default: what is connected, else the studio)',
  )
  .addOption(
    new Option('--from <old-shoot>', 'start a new shoot with the rig, settings and cue sheet of an earlier one'),
  )
  .option('--rig <file>', 'a rig as JSON, for this shoot from now on: lights, modifiers, the mark')
  .addOption(
    new Option('--speed <factor>', 'let the simulated room run faster').argParser(numberBetween('--speed', 1, 100)),
  )
  .addOption(
    new Option('--seed <number>', 'another evening in the simulated room').argParser(
      numberBetween('--seed', 0, 2 ** 31),
    ),
  )
  .addOption(new Option('--volume <percent>', 'of the cues').argParser(numberBetween('--volume', 0, 100)).default(80))
  .option('--no-voice', 'tones only, nothing spoken')
  .option('--no-sound', 'nothing heard at all')
  .addHelpText(
    'after',
    example('darkset my-shoot', 'darkset my-shoot --camera inbox:incoming', 'darkset next-week --from my-shoot'),
  )
  .action(async (shoot: string | undefined, options) => {
    const {openScreens} = await import('./open-screens.js');
    await openScreens(shoot, options);
  });

program
  .command('plan')
  .description('what light will do: the numbers of the first place')
  .requiredOption('--shutter <time>', 'like 8s or 1/125')
  .requiredOption('--aperture <f-number>', 'like f/8')
  .requiredOption('--iso <iso>', 'like 100')
  .option('--room-ev <ev>', "the room's light as EV at ISO 100")
  .option('--room-lux <lux>', "the room's light in lux")
  .option('--focal <mm>', 'focal length')
  .option('--focus-distance <m>', 'from the camera to the mark')
  .option('--sensor <mm x mm>', 'size of the sensor, like 36x24')
  .option('--rig <file>', 'a rig as JSON: lights, modifiers, the mark')
  .option('--to-shutter <time>', 'what if the settings change to these')
  .option('--to-aperture <f-number>', 'likewise')
  .option('--to-iso <iso>', 'likewise')
  .option('--feet', 'distances in feet as well')
  .option('--explain', 'each number with its formula, inputs and source')
  .option(...json)
  .addHelpText(
    'after',
    example('darkset plan --shutter 8 --aperture 8 --iso 100 --room-ev -4 --to-aperture 10 --to-iso 50'),
  )
  .action(async options => {
    const {plan} = await import('./plan.js');
    await plan(options);
  });

program
  .command('measure')
  .description('what frames hold: flashes, trail, face, room; with plates it tells more')
  .argument('<frame...>', 'photographs: JPEG, or RAW files with a preview')
  .option('--plates <folder>', 'with dark.jpg, light-A.jpg …, and zones.json')
  .option(...json)
  .addHelpText('after', example('darkset measure my-shoot/attempts/007/*.JPG --plates my-shoot/plates'))
  .action(async (frames: string[], options) => {
    const {measure} = await import('./measure.js');
    process.exitCode = await measure(frames, options);
  });

program
  .command('attempts')
  .description('every attempt of a shoot, with what was changed and how each reading moved')
  .argument('<shoot>', "the shoot's folder")
  .addOption(new Option(...json).conflicts('csv'))
  .option('--csv', 'one row an attempt, for a spreadsheet')
  .addHelpText('after', example('darkset attempts my-shoot', 'darkset attempts my-shoot --csv > attempts.csv'))
  .action(async (shoot: string, options) => {
    const {attempts} = await import('./attempts.js');
    await attempts(shoot, options);
  });

program
  .command('wrap')
  .description('hand off the kept frames: copies, sidecars, contact sheet, set-up sheet, checksums')
  .argument('<shoot>', "the shoot's folder")
  .option('--to <folder>', 'where to (default: the folder wrap in the shoot)')
  .option('--maybe', 'take the frames marked maybe as well')
  .option('--creator <name>', 'the photographer, for the sidecars')
  .option('--names <pattern>', 'how files are named, from {shoot} {attempt} {date} {mark}')
  .option(...json)
  .addHelpText('after', example('darkset wrap my-shoot --to hand-off'))
  .action(async (shoot: string, options) => {
    const {wrap} = await import('./wrap.js');
    await wrap(shoot, options);
  });

program
  .command('verify')
  .description('check every file of a shoot against its checksum, and the journal')
  .argument('<shoot>', "the shoot's folder")
  .option(...json)
  .addHelpText('after', example('darkset verify my-shoot'))
  .action(async (shoot: string, options) => {
    const {verify} = await import('./verify.js');
    process.exitCode = await verify(shoot, options);
  });

program
  .command('doctor')
  .description('camera library, cameras, sound, terminal, folders: what works here, and how to mend what does not')
  .option('--sound', 'play the test sound')
  .option(...json)
  .addHelpText('after', example('darkset doctor'))
  .action(async options => {
    const {doctor} = await import('./doctor.js');
    process.exitCode = await doctor(options);
  });

const wordsOf = (error: CommanderError): string => error.message.replace(/^error: /, '').replace(/\.?$/, '.');

const run = async (): Promise<void> => {
  for (const command of [program, ...program.commands]) {
    command
      .exitOverride()
      .configureOutput({writeErr: () => {}})
      .showSuggestionAfterError(true);
  }
  try {
    await program.parseAsync();
  } catch (error) {
    if (!(error instanceof CommanderError)) {
      process.exitCode = complain(error);
      return;
    }
    // Help and version are asked for, not wrong.
    if (error.exitCode === 0) return;
    process.stderr.write(`darkset: ${plainText(wordsOf(error))} See darkset --help.\n`);
    process.exitCode = 2;
  }
};

await run();
