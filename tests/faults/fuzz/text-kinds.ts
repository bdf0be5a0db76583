import {execFileSync} from 'node:child_process';
import {writeFileSync} from 'node:fs';
import path from 'node:path';
import {cueTimeline} from '../../../adapters/sound/cue-timeline.js';
import {speakable} from '../../../adapters/sound/speakable.js';
import {cueSheetSchema, usualCueSheet} from '../../../shared/cues.js';
import {demoRig, type Rig} from '../../../shared/rig.js';
import {complain} from '../../../src/command/complain.js';
import {plan} from '../../../src/command/plan.js';
import {flashCautions} from '../../../src/light/flash-care.js';
import {planReport} from '../../../src/light/plan.js';
import {printPlan} from '../../../src/light/plan-text.js';
import {drawRigSvg} from '../../../src/light/rig-drawing-svg.js';
import {drawRigText} from '../../../src/light/rig-drawing-text.js';
import {parseRig, printRig} from '../../../src/light/rig-file.js';
import {cellsOf, cut, wrapText} from '../../../src/screen/lines.js';
import {plain} from '../../../src/screen/plain.js';
import {cueTrouble, flashOutsideExposure} from '../../../src/shoot/cue-rules.js';
import {foldShoot} from '../../../src/shoot/fold.js';
import type {Shoot} from '../../../src/shoot/state.js';
import {contactPage} from '../../../src/wrap/contact-page.js';
import {lookBackPage} from '../../../src/wrap/look-back.js';
import {setUpPage} from '../../../src/wrap/set-up-page.js';
import {xmpSidecar} from '../../../src/wrap/sidecar.js';
import {shortEvening} from '../../shoot/entries.js';
import {bent, hostileNumber, hostileText} from './hostile.js';
import {Finding, type FuzzKind, mustBeFit, survives} from './kind.js';
import {mutated, type Random} from './random.js';

const exposure = {shutterSeconds: 8, fNumber: 8, iso: 100};

/** Everything that is drawn or said of a rig that was let in. */
const drawRig = async (rig: Rig, random: Random): Promise<void> => {
  await survives('printing a rig', () => {
    const again = parseRig(printRig(rig));
    if (JSON.stringify(again) !== JSON.stringify(rig))
      throw new Finding('a rig that is another one once written and read');
  });
  await survives('planning', () => {
    const asked = {exposure, rig, roomEv100: -4, roomLux: null, focus: null, to: {iso: 50}};
    mustBeFit('a plan', printPlan(planReport(asked), {explain: true, feet: random.chance(0.5), asked}), 'many');
  });
  await survives('drawing', () => {
    mustBeFit('a drawing', drawRigText(rig, random.whole(1, 120), random.whole(1, 50)), 'many');
    const svg = drawRigSvg(rig);
    mustBeFit('an SVG', svg, 'many');
    if (/NaN|Infinity/.test(svg.replace(/>[^<]*</g, '><'))) throw new Finding('an SVG with a number that is none');
  });
  await survives('caring', () => {
    for (const light of rig.lights) for (const caution of flashCautions(light, 8, 20)) mustBeFit('a caution', caution);
  });
};

const rigKind: FuzzKind = {
  name: 'rig files',
  share: 7,
  async open() {
    const written = JSON.parse(printRig(demoRig)) as {lights: object[]};
    const short = {
      schema: 1,
      lights: [
        {
          id: 'A',
          guideNumberFeet: 105,
          guideNumberAtIso: 200,
          power: '1/8 +0.3',
          gel: 'full warm',
          distanceMetres: 1,
          angleDegrees: 20,
        },
        {
          id: 'B',
          guideNumbersByZoom: [
            {zoomMillimetres: 24, guideNumberMetres: 20},
            {zoomMillimetres: 70, guideNumberMetres: 36},
          ],
          zoomMillimetres: 50,
          distanceMetres: 2,
          angleDegrees: -100,
        },
      ],
    };
    return {
      async try(random) {
        const text = JSON.stringify(bent(random.pick([written, short]), random, random.pick([0.01, 0.03, 0.1])));
        const read = random.chance(0.3) ? mutated(Buffer.from(text), random).toString('utf8') : text;
        const rig = await survives('reading a rig', () => parseRig(read));
        if (rig) await drawRig(rig, random);
      },
    };
  },
};

/** Runs work while what goes to stdout and stderr is caught. */
const caught = async (work: () => Promise<unknown>): Promise<string> => {
  const {stdout, stderr} = process;
  const writes = [stdout.write, stderr.write] as const;
  let text = '';
  const keep = ((piece: string) => {
    text += piece;
    return true;
  }) as typeof stdout.write;
  stdout.write = keep;
  stderr.write = keep;
  try {
    await work();
  } finally {
    stdout.write = writes[0];
    stderr.write = writes[1];
  }
  return text;
};

const flagValue = (random: Random, good: readonly string[]): string => {
  if (random.chance(0.55)) return random.pick(good);
  return random.chance(0.5) ? String(hostileNumber(random)) : hostileText(random, 20);
};

const planKind: FuzzKind = {
  name: 'plan flags',
  share: 7,
  async open(folder) {
    const rigFile = path.join(folder, 'rig.json');
    writeFileSync(rigFile, printRig(demoRig));
    return {
      async try(random) {
        const maybe = (good: string[]): string | undefined =>
          random.chance(0.4) ? flagValue(random, good) : undefined;
        const flags = {
          shutter: flagValue(random, ['8s', '1/125', '0.5', '30']),
          aperture: flagValue(random, ['f/8', '10', 'F5.6']),
          iso: flagValue(random, ['100', 'ISO 50']),
          roomEv: maybe(['-4', '−2.5', '0']),
          roomLux: maybe(['0.1', '3']),
          focal: maybe(['50', '85']),
          focusDistance: maybe(['2', '1.5']),
          sensor: maybe(['36x24', '23.5 x 15.6']),
          rig: random.chance(0.3) ? (random.chance(0.8) ? rigFile : hostileText(random, 40)) : undefined,
          toShutter: maybe(['4s']),
          toAperture: maybe(['f/10']),
          toIso: maybe(['50']),
          feet: random.chance(0.5),
          explain: random.chance(0.5),
          json: random.chance(0.4),
        };
        const defined = Object.fromEntries(Object.entries(flags).filter(([, value]) => value !== undefined));
        let code = 0;
        const text = await caught(async () => {
          try {
            await plan(defined as typeof flags & {shutter: string});
          } catch (error) {
            code = complain(error);
          }
        });
        mustBeFit(`plan ${JSON.stringify(defined)}`, text, 'many');
        if (text.includes('inside darkset')) throw new Finding(`plan ${JSON.stringify(defined)}: ${text}`);
        if (code === 1)
          throw new Finding(`plan ${JSON.stringify(defined)} takes wrong use for something else: ${text}`);
        if (code === 0 && /NaN|Infinity/.test(text))
          throw new Finding(`plan ${JSON.stringify(defined)} answers: ${text}`);
        if (code === 0 && flags.json) JSON.parse(text);
      },
    };
  },
};

const cueKind: FuzzKind = {
  name: 'cue sheets',
  share: 3,
  async open() {
    const good = usualCueSheet(8);
    return {
      async try(random) {
        const read = cueSheetSchema.safeParse(JSON.parse(JSON.stringify(bent(good, random, 0.06))));
        if (!read.success) return;
        const trouble = cueTrouble(read.data);
        if (trouble !== null) mustBeFit('what is wrong with cues', trouble);
        flashOutsideExposure(read.data, 8);
        const timeline = cueTimeline(read.data, random.pick([1, 20, 100]));
        if (timeline.some(({atSeconds}) => !(atSeconds >= 0 && atSeconds <= 3720)))
          throw new Finding(`a cue out of time for ${JSON.stringify(read.data)}`);
      },
    };
  },
};

const drawnKind: FuzzKind = {
  name: 'text on the screen and aloud',
  share: 5,
  async open() {
    return {
      async try(random) {
        const text = hostileText(random, 300);
        const limit = random.whole(1, 500);
        const shown = plain(text, limit);
        mustBeFit('the screen', shown);
        const columns = random.whole(1, 100);
        if (cellsOf(cut(shown, columns)) > columns) throw new Finding(`a cut longer than ${columns}: ${shown}`);
        for (const line of wrapText(shown, Math.max(2, columns))) {
          mustBeFit('a broken line', line);
          if (cellsOf(line) > Math.max(2, columns)) throw new Finding(`a line longer than ${columns}: ${line}`);
        }
        const said = speakable(text);
        mustBeFit('speech', said);
        if (/[[\]<>&]/.test(said) || said.startsWith('-')) throw new Finding(`speech that commands: ${said}`);
      },
    };
  },
};

const LINTED_AT_ONCE = 40;

/** A shoot with hostile text wherever a text can stand. */
const hostileShoot = (random: Random): Shoot => {
  const shoot = foldShoot(
    shortEvening(2).map((event, index) => ({v: 1, at: `2026-11-25T20:00:${10 + (index % 50)}Z`, ...event}) as never),
  );
  const texts = (value: unknown): unknown => {
    if (typeof value === 'string') return random.chance(0.3) ? hostileText(random, 40) : value;
    if (Array.isArray(value)) return value.map(texts);
    if (value === null || typeof value !== 'object') return value;
    return Object.fromEntries(Object.entries(value).map(([key, inner]) => [key, texts(inner)]));
  };
  return texts(shoot) as Shoot;
};

const markupKind: FuzzKind = {
  name: 'text in HTML, SVG and XMP',
  share: 4,
  async open(folder) {
    let waiting: string[] = [];
    let made = 0;
    /** A parser that is not ours reads many documents at once. */
    const lint = (): void => {
      if (waiting.length === 0) return;
      const files = waiting;
      waiting = [];
      try {
        execFileSync('xmllint', ['--noout', ...files], {stdio: 'pipe'});
      } catch (error) {
        throw new Finding(`not well-formed: ${String((error as {stderr?: Buffer}).stderr ?? error).slice(0, 600)}`);
      }
    };
    return {
      async try(random) {
        const shoot = hostileShoot(random);
        const text = (): string => hostileText(random, 60);
        const mark = random.pick(['keep', 'maybe', 'drop', null] as const);
        const documents = [
          xmpSidecar({title: text(), description: text(), creator: text(), mark, writtenAt: text()}),
          random.pick([
            () => contactPage(shoot, new Map()),
            () => setUpPage(shoot, new Map(), null),
            () => lookBackPage(shoot),
            () => drawRigSvg(shoot.rig),
          ])(),
        ];
        for (const document of documents) {
          // A page may hold tabs, and the packet's own mark of its encoding.
          mustBeFit('a page', document.replace('\ufeff', '').replaceAll('\t', ' '), 'many');
          if (/<script|<img src=x/i.test(document)) throw new Finding(`text became markup: ${document.slice(0, 300)}`);
          const file = path.join(folder, `${made++ % LINTED_AT_ONCE}.xml`);
          writeFileSync(file, document);
          waiting.push(file);
        }
        if (waiting.length >= LINTED_AT_ONCE) lint();
      },
      async close() {
        lint();
      },
    };
  },
};

export const textKinds: FuzzKind[] = [rigKind, planKind, cueKind, drawnKind, markupKind];
