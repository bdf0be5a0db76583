import {createInterface} from 'node:readline';
import {Command} from 'commander';
import {openStudio} from '../../adapters/studio/studio.js';
import type {Camera} from '../../shared/camera.js';
import {readArrangement} from './arrangement.js';
import {createRoomRule, explanation} from './room-rule.js';
import {startLoopbackCamera} from './server.js';

/*
 * Starts the loopback camera for a person (or a test) to try the program on: the real camera library then drives the
 * simulated room. A line of the standard input is a word of the room's rule, or a whole arrangement as JSON.
 */

const whole = (text: string): number => {
  const value = Number(text);
  if (!Number.isInteger(value) || value < 0 || value > 65_535) throw new Error(`${text} is not a port.`);
  return value;
};

const {port, speed, megapixels, seed} = new Command()
  .name('loopback-camera')
  .description('A camera on this machine that speaks PTP/IP, with the simulated room in front of it.')
  .option('--port <number>', 'where it listens; 0 takes one that is free', whole, 15_740)
  .option('--speed <factor>', 'how much faster its seconds go by', Number, 1)
  .option('--megapixels <number>', 'size of its pictures', Number, 6)
  .option('--seed <number>', 'what its chance follows from', Number, 7)
  .parse()
  .opts<{port: number; speed: number; megapixels: number; seed: number}>();

const studio = await openStudio({speed, megapixels, seed});
const rule = createRoomRule();
let arranged = false;

/** The studio camera, with the room put in order before each exposure. */
const camera: Camera = {
  ...studio.camera,
  expose: request => {
    if (!arranged) {
      const {word, arrangement} = rule.next(request.seconds);
      studio.room.arrange(arrangement);
      console.log(`An exposure of ${request.seconds} s begins. The room: ${word}.`);
    }
    return studio.camera.expose(request);
  },
};

const loopback = await startLoopbackCamera(camera, {port});
console.log(`The loopback camera listens on port ${loopback.port}.`);
console.log(`Try it in another terminal: darkset --camera ip:127.0.0.1:${loopback.port}`);
console.log(explanation);

const input = createInterface({input: process.stdin});
input.on('line', line => {
  if (line.trim().startsWith('{')) {
    const arrangement = readArrangement(line);
    if (arrangement !== null) studio.room.arrange(arrangement);
    arranged ||= arrangement !== null;
    console.log(arrangement === null ? 'That is not an arrangement.' : 'Arranged.');
    return;
  }
  const heard = rule.hear(line);
  if (heard !== null) arranged = false;
  console.log(heard ?? 'Write d, a, b, s, p or r.');
});

const leave = async (): Promise<void> => {
  input.close();
  await loopback.stop();
  await studio.camera.close();
};
for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => void leave());
