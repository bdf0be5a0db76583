import {execFileSync} from 'node:child_process';
import {readdirSync} from 'node:fs';
import {fakeSession} from '../shoot/fakes.js';

/*
 * A long evening, fast: so many attempts in one session, with what it holds half-way and at the end.
 * node --expose-gc --import tsx tests/faults/long-evening-bench.ts [attempts]; prints one line of JSON.
 */
const count = Number(process.argv[2] ?? 1000);
const world = await fakeSession({speed: 4000, camera: {raw: true}});
const {session, until, camera, sound, measurer} = world;

const holds = () => {
  globalThis.gc?.();
  return {
    heapBytes: process.memoryUsage().heapUsed,
    descriptors: readdirSync('/proc/self/fd').length,
    children:
      execFileSync('ps', ['-o', 'pid=', '--ppid', String(process.pid)], {encoding: 'utf8'})
        .trim()
        .split('\n').length - 1,
  };
};

/** A series has 999 attempts at most. */
const LONGEST_SERIES = 999;
const beginSeries = async (attempts: number): Promise<void> => {
  await until(({activity}) => activity.kind === 'resting');
  session.send({kind: 'begin series', count: attempts, pauseSeconds: 0, untilPassed: false});
  await until(({activity}) => activity.kind === 'preflight');
  session.send({kind: 'go on'});
};

await until(state => state.camera.kind === 'connected');
let early: ReturnType<typeof holds> | null = null;
for (let next = 1; next <= count; next++) {
  if ((next - 1) % LONGEST_SERIES === 0) await beginSeries(Math.min(LONGEST_SERIES, count - next + 1));
  while ((session.state().shoot.attempts[next - 1]?.stage ?? '') !== 'measured') {
    if (session.state().activity.kind === 'resting' && session.state().message?.trouble)
      throw new Error(session.state().message!.say);
    await new Promise(resolve => setTimeout(resolve, 5));
  }
  // What the stand-ins remember is not the program's.
  camera.card.clear();
  camera.exposures.length = 0;
  sound.said.length = 0;
  measurer.measured.length = 0;
  if (next === Math.floor(count / 2)) early = holds();
}
const late = holds();
const attempts = session.state().shoot.attempts.length;
await world.close();
console.log(JSON.stringify({attempts, early, late}));
process.exit(0);
