import {chmodSync, existsSync, mkdirSync, mkdtempSync, readFileSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import type {Host} from '../../adapters/programs.js';

/** A machine on which only the programs exist that a test puts there. */
export type FakeMachine = {
  host: Host;
  /** Puts a program there; its body is JavaScript of Node, `say(line)` writes to the machine's log. */
  program(name: string, body: string): void;
  /** What the programs logged, in order. */
  log(): string[];
};

export const fakeMachine = (platform: NodeJS.Platform = 'linux'): FakeMachine => {
  const folder = mkdtempSync(path.join(tmpdir(), 'darkset-fake-'));
  const bin = path.join(folder, 'bin');
  const logFile = path.join(folder, 'log');
  mkdirSync(bin);
  return {
    host: {platform, env: {PATH: bin, LOG: logFile}},
    program: (name, body) => {
      const file = path.join(bin, name);
      const prelude = `const fs = require('node:fs'); const say = line => fs.appendFileSync(process.env.LOG, line + '\\n');`;
      writeFileSync(file, `#!${process.execPath}\n${prelude}\n${body}\n`);
      chmodSync(file, 0o755);
    },
    log: () => (existsSync(logFile) ? readFileSync(logFile, 'utf8').trim().split('\n') : []),
  };
};

/** A player that takes everything on stdin and logs how many bytes came. */
export const playerOfStdin = `
let bytes = 0;
process.stdin.on('data', data => { bytes += data.length; });
process.stdin.on('end', () => { say('played ' + bytes); process.exit(0); });
`;

/** What players do where no device is: complain on fd 2 and exit with 1. */
export const playerWithoutDevice = `process.stderr.write('cannot find card 0\\n'.repeat(50)); process.exit(1);`;

/** A speech program that writes half a second of a buzz, and logs what it was given to say. */
export const speechProgram = `
const text = fs.readFileSync(0, 'utf8');
say('asked to say ' + JSON.stringify(text) + ' ' + process.argv.slice(2).filter(part => !part.includes('/')).join(' '));
const samples = 11025;
const file = Buffer.alloc(44 + samples * 2);
file.write('RIFF', 0); file.writeUInt32LE(36 + samples * 2, 4); file.write('WAVEfmt ', 8);
file.writeUInt32LE(16, 16); file.writeUInt16LE(1, 20); file.writeUInt16LE(1, 22); file.writeUInt32LE(22050, 24);
file.writeUInt32LE(44100, 28); file.writeUInt16LE(2, 32); file.writeUInt16LE(16, 34);
file.write('data', 36); file.writeUInt32LE(samples * 2, 40);
for (let i = 0; i < samples; i++) file.writeInt16LE(i % 50 < 25 ? 9000 : -9000, 44 + i * 2);
fs.writeFileSync(process.argv.find(part => part.endsWith('.wav')), file);
`;
