import {writeSync} from 'node:fs';
import path from 'node:path';
import {setTimeout as pause} from 'node:timers/promises';
import type {Camera} from '../../shared/camera.js';
import type {ObedientRoom} from '../../shared/room.js';
import {judge} from '../../src/judge/judge.js';
import {fastClock} from '../../src/shoot/cue-clock.js';
import {openSession} from '../../src/shoot/session.js';
import type {SessionState} from '../../src/shoot/state.js';
import {fakeMeasurer, fakeSound} from '../shoot/fakes.js';
import {cardCamera} from './card-camera.js';

/*
 * A shoot that goes on and on until it is killed: attempts, marks, notes, now and then a wrap. Arguments: the folder, the
 * kind of camera (card or studio), and "until-quiet" to stop once everything on the card has been fetched.
 * It is loaded ahead of time and begins at the first byte on its standard input. It writes a line for every change of
 * what it is doing.
 */

const [, , folder = '', kind = 'card', mode = 'go-on'] = process.argv;
const SPEED = 20;

const tell = (line: string): void => {
  writeSync(1, `${line}\n`);
};

await new Promise(resolve => process.stdin.once('data', resolve));
process.stdin.pause();

const clock = fastClock(SPEED);
let room: ObedientRoom | null = null;
const openCamera = async (): Promise<Camera> => {
  const cardFolder = path.join(folder, 'card');
  if (kind === 'card') return cardCamera(cardFolder, SPEED);
  const {openStudio} = await import('../../adapters/studio/studio.js');
  const studio = await openStudio({clock, megapixels: 0.2, cardFolder, seed: 7});
  room = studio.room;
  return studio.camera;
};
const slowMeasurer = () => {
  const measurer = fakeMeasurer();
  const {measure} = measurer;
  measurer.measure = async (file, zones) => {
    await pause(25);
    return measure(file, zones);
  };
  return measurer;
};

const session = await openSession({
  folder: path.join(folder, 'window-light'),
  program: 'darkset test',
  cameras: {
    open: () =>
      openCamera().catch(error => {
        console.error(error);
        process.exit(3);
      }),
  },
  get room() {
    return room;
  },
  sound: fakeSound(),
  clock,
  speed: SPEED,
  measurer: kind === 'card' ? slowMeasurer() : (await import('../../src/frame/open-measurer.js')).openMeasurer(),
  judge,
  planWrap: async order => (await import('../../src/wrap/plan-wrap.js')).planWrap(order),
  wrapUp: async input => (await import('../../src/wrap/wrap-up.js')).wrapUp(input),
  keepAwake: async () => () => undefined,
});

let known = '';
session.subscribe(() => {
  const {shoot, activity} = session.state();
  const last = shoot.attempts.at(-1);
  const now = `${activity.kind} ${shoot.attempts.length} ${last?.stage ?? 'none'} ${last?.files.length ?? 0}`;
  if (now === known) return;
  known = now;
  tell(`at ${now}`);
});

const until = async (wanted: (state: SessionState) => boolean): Promise<SessionState> => {
  while (!wanted(session.state())) await pause(5);
  return session.state();
};
const resting = ({activity}: SessionState): boolean => activity.kind === 'resting';

await until(state => state.camera.kind === 'connected');
// The search for lost frames begins by itself; it has been seen to begin before anything else is asked for.
await pause(20);
await until(resting);
session.send({kind: 'focus', step: 'lock'});
await until(({shoot}) => shoot.focusLocked !== null);
tell('ready');

if (!session.state().shoot.planned) {
  session.send({kind: 'set exposure', change: {shutterSeconds: 8}});
  session.send({
    kind: 'set cues',
    cues: {
      countdownSeconds: 1,
      cues: [
        {name: 'open', atSeconds: 0, sound: 'tone'},
        {name: 'closed', atSeconds: 8, sound: 'tone'},
      ],
    },
  });
  session.send({kind: 'set zones', zones: {face: {cx: 0.5, cy: 0.4, rx: 0.1, ry: 0.17}}});
  await until(({shoot}) => shoot.zones !== null);
}

/** Asks again where it was not heard: a hand-off that was asked for may begin later than it was waited for. */
const toPreflight = async (): Promise<void> => {
  for (;;) {
    await until(({activity}) => activity.kind === 'resting' || activity.kind === 'preflight');
    if (session.state().activity.kind === 'resting') session.send({kind: 'begin attempt'});
    for (let looks = 0; looks < 100; looks++) {
      const {activity} = session.state();
      if (activity.kind === 'preflight' && activity.ready) return;
      await pause(5);
    }
  }
};

while (mode === 'go-on') {
  const {length} = (await until(resting)).shoot.attempts;
  // The simulated room's card tells nobody which of its frames are probes.
  const roomCheck = kind === 'card' && length % 4 === 1;
  session.send({kind: 'set room check', on: roomCheck});
  await toPreflight();
  session.send({kind: 'go on'});
  const ended = (state: SessionState): boolean => resting(state) && state.shoot.attempts.length > length;
  if (roomCheck) {
    const held = await until(state => (state.activity.kind === 'room check' && state.activity.holding) || ended(state));
    if (!ended(held)) session.send({kind: 'go on'});
  }
  await until(ended);
  session.send({kind: 'mark', attempt: length + 1, mark: length % 3 === 0 ? 'keep' : 'maybe'});
  session.send({kind: 'note', attempt: length + 1, text: `note on ${length + 1}`});
  if (length % 4 === 3) {
    session.send({kind: 'plan wrap', folder: path.join(folder, 'handed-off'), maybeToo: false});
    session.send({kind: 'wrap'});
    await pause(20);
  }
}
await session.close();
tell('closed');
process.exit(0);
