import {type ChildProcess, spawn} from 'node:child_process';
import {existsSync} from 'node:fs';
import {readFile} from 'node:fs/promises';
import {hostname} from 'node:os';
import path from 'node:path';
import {fileURLToPath} from 'node:url';
import {afterEach, beforeEach, describe, expect, it} from 'vitest';
import {readShoot} from '../../src/shoot/open-shoot.js';
import {verifyShoot} from '../../src/wrap/verify-shoot.js';
import {temporaryFolder} from '../shoot/fakes.js';

type Answer = {opened?: number; findings?: string[]; refused?: string; name?: string};
type Program = {child: ChildProcess; answer: Answer; ended: Promise<void>};

const holder = fileURLToPath(new URL('./holder.ts', import.meta.url));
const running: ChildProcess[] = [];
let parent: string;
let shoot: string;
let remove: () => Promise<void>;
beforeEach(async () => {
  ({folder: parent, remove} = await temporaryFolder());
  shoot = path.join(parent, 'window-light');
});
afterEach(async () => {
  for (const child of running.splice(0)) child.kill('SIGKILL');
  await remove();
});

/** Starts a program that opens the shoot, and waits for its first word. */
const start = async (folder: string): Promise<Program> => {
  const child = spawn(process.execPath, ['--import', 'tsx', holder, folder], {stdio: ['pipe', 'pipe', 'inherit']});
  running.push(child);
  const ended = new Promise<void>(resolve => child.once('close', () => resolve()));
  const answer = await new Promise<Answer>((resolve, reject) => {
    child.stdout!.once('data', (text: Buffer) => resolve(JSON.parse(text.toString()) as Answer));
    child.once('exit', code => setTimeout(() => reject(new Error(`It ended with ${code} and said nothing.`)), 1000));
  });
  return {child, answer, ended};
};

describe('two programs in one shoot', () => {
  it('the second is told who holds it, and changes nothing', async () => {
    const first = await start(shoot);
    expect(first.answer).toEqual({opened: first.child.pid, findings: []});
    const before = await readFile(path.join(shoot, 'shoot.jsonl'));
    const second = await start(shoot);
    expect(second.answer.name).toBe('LockFault');
    expect(second.answer.refused).toMatch(
      new RegExp(`^This shoot is already open: process ${first.child.pid} on ${hostname()} has held it since .*\\.$`),
    );
    await second.ended;
    expect(await readFile(path.join(shoot, 'shoot.jsonl'))).toEqual(before);
    // Looking is allowed all the while.
    expect((await readShoot(shoot)).shoot.name).toBe('window-light');
    first.child.stdin!.end('a note\n');
    await first.ended;
    expect(existsSync(path.join(shoot, 'shoot.lock'))).toBe(false);
  });

  it('of many that start at the same moment, exactly one gets in', async () => {
    const programs = await Promise.all(Array.from({length: 4}, () => start(shoot)));
    expect(programs.filter(({answer}) => answer.opened !== undefined)).toHaveLength(1);
    for (const {answer} of programs)
      if (answer.refused) expect(answer.refused).toMatch(/already open|just being opened/);
  });

  it('the lock of a program that was killed is taken over, which is said, and by one only', async () => {
    const dead = await start(shoot);
    dead.child.stdin!.write('a note\n');
    while (!(await readFile(path.join(shoot, 'shoot.jsonl'), 'utf8')).includes('"noted"'))
      await new Promise(resolve => setTimeout(resolve, 20));
    dead.child.kill('SIGKILL');
    await dead.ended;
    expect(existsSync(path.join(shoot, 'shoot.lock'))).toBe(true);
    const programs = await Promise.all(Array.from({length: 3}, () => start(shoot)));
    const [next, ...others] = programs.filter(({answer}) => answer.opened !== undefined);
    expect(others).toEqual([]);
    expect(next!.answer.findings).toEqual([
      'The program did not end properly last time; everything that was written is here.',
    ]);
    next!.child.stdin!.end();
    await next!.ended;
    expect((await verifyShoot(shoot)).problems).toEqual([]);
    expect(existsSync(path.join(shoot, 'shoot.lock.taking'))).toBe(false);
  });
});
