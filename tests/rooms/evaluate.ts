import {parseArgs} from 'node:util';
import {measureRooms} from './measure-rooms.js';
import {missingPhotographs, photographPackages} from './photographs.js';
import {planRoom, type RoomSet, roomCounts} from './plan.js';
import {roomsFolder} from './rooms-folder.js';
import type {FrameScore} from './score.js';
import {broken, summarise, table} from './summary.js';

/*
 * npx tsx tests/rooms/evaluate.ts [--open | --held-out] [--only 3,7] [--keep DIR] [--json]
 * Measures rooms it makes itself and prints how far the readings are from the truth.
 */

const {values} = parseArgs({
  options: {
    open: {type: 'boolean'},
    'held-out': {type: 'boolean'},
    only: {type: 'string'},
    keep: {type: 'string'},
    json: {type: 'boolean'},
  },
});

const describe = ({frame, curve, head}: FrameScore): string =>
  [frame.kind, frame.trailKind ?? 'no trail', curve, head].join(', ');

const main = async (): Promise<void> => {
  const missing = missingPhotographs();
  if (missing.length > 0) {
    throw new Error(`The rooms need photographs that are not here: apt-get install ${photographPackages}`);
  }
  const set: RoomSet = values['held-out'] ? 'held-out' : 'open';
  const numbers = values.only
    ? values.only.split(',').map(Number)
    : Array.from({length: roomCounts[set]}, (_, i) => i + 1);
  const recipes = numbers.map(number => planRoom(set, number - 1));
  const scores = await measureRooms(recipes, values.keep ?? roomsFolder(), (name, of) => {
    const wrong = of.filter(score => score.failures.length > 0).length;
    process.stderr.write(`${name}: ${of.length - wrong} of ${of.length} frames as they should be\n`);
  });
  const summary = summarise(scores);
  if (values.json) {
    console.log(JSON.stringify({set, summary, broken: broken(summary), scores}, null, 1));
    return;
  }
  for (const score of scores) {
    if (score.failures.length === 0) continue;
    console.log(`${score.room}/${score.frame.file} (${describe(score)})`);
    for (const failure of score.failures) console.log(`  ${failure}`);
  }
  console.log(`\n${table(summary)}`);
  const sentences = broken(summary);
  console.log(
    sentences.length === 0
      ? '\nEvery budget holds.'
      : `\nBroken budgets:\n${sentences.map(line => `  ${line}`).join('\n')}`,
  );
};

await main();
