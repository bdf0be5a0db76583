import {holdRooms, tableOf} from './hold.js';

/* npx tsx tests/rooms-apart/evaluate.ts DIR: measures the rooms that make_rooms.py wrote there, and prints what is off. */

const folder = process.argv[2];
if (!folder) throw new Error('Say which folder make_rooms.py wrote.');
const held = await holdRooms(folder);
for (const line of held.lines) console.log(line);
console.log(`\n${tableOf(held)}`);
