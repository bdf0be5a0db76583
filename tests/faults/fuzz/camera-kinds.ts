import {cameraFaultOf, linkAfter} from '../../../adapters/gphoto2/faults.js';
import {createFrames} from '../../../adapters/gphoto2/frames.js';
import {answerSchemas, type CallName, replySchema, type Setting} from '../../../adapters/gphoto2/messages.js';
import {parsePort} from '../../../adapters/gphoto2/port.js';
import {settingNames} from '../../../adapters/gphoto2/settings-table.js';
import {statusOf} from '../../../adapters/gphoto2/status.js';
import {isoOf, nearest, shutterOf, stopsOf} from '../../../adapters/gphoto2/values.js';
import {CallFault} from '../../../adapters/gphoto2/worker.js';
import {cameraStatusSchema} from '../../../shared/camera.js';
import {safely} from '../../../shared/safely.js';
import {bent, hostileNumber, hostileText} from './hostile.js';
import {Finding, type FuzzKind, mustBeFit, survives} from './kind.js';
import type {Random} from './random.js';

const file = {
  folder: '/store_00010001/DCIM/100X',
  name: 'DSC_0001.JPG',
  bytes: 4096,
  mime: 'image/jpeg',
  madeAtSeconds: 1.7e9,
};
const setting = {
  name: 'iso',
  type: 'choice',
  readOnly: false,
  value: '100',
  choices: ['50', '100', '200'],
  range: null,
};
const ranged = {
  ...setting,
  name: 'f-number',
  type: 'range',
  value: 8,
  choices: [],
  range: {low: 1, high: 32, step: 0.1},
};

/** What the process that holds the camera library may say, when all is well. */
const replies: unknown[] = [
  {id: 1, answer: {}},
  {id: 1, failed: {code: -1, said: 'Unspecified error', slow: false}},
  {pull: 1, bytes: 10, total: 4096},
  {event: 'file', file},
  {event: 'complete'},
  {event: 'other', text: 'PTP Property changed'},
  {event: 'lost', code: -7, slow: false},
];
const answers: {[Name in CallName]?: unknown} = {
  load: {version: '2.5.30', models: 2000, connections: ['usb']},
  detect: {cameras: [{model: 'stand-in', port: 'usb:001,004'}]},
  open: {model: 'stand-in', port: 'usb:001,004', can: {capture: true, trigger: true, configure: true}},
  names: {names: ['iso']},
  summary: {text: 'a camera'},
  read: {settings: [setting, ranged, null]},
  trigger: {file},
  storages: {storages: [{writable: true, freeBytes: 1e9, freeFrames: 300}]},
  list: {files: [file, file]},
  pull: {bytes: 4096, sha256: 'ab'.repeat(32)},
};

const statusFrom = async (settings: (Setting | null)[], random: Random): Promise<void> => {
  const roles = Object.keys(settingNames) as (keyof typeof settingNames)[];
  const readings = Object.fromEntries(settings.flatMap(one => (one ? [[random.pick(roles), one]] : [])));
  const status = await survives('a status', () =>
    statusOf(readings, {
      facts: {
        identity: {kind: 'gphoto2', maker: '', model: '', serial: '', port: ''},
        names: new Set(),
        canOpenShutter: true,
        hasOpenCapture: false,
      },
      storages: [],
      clockDifferenceSeconds: null,
      bulbSeconds: null,
      formatSeen: null,
      lockedByUs: false,
      remarks: [],
    }),
  );
  const checked = cameraStatusSchema.safeParse(status);
  if (!checked.success) throw new Finding(`a status that is none: ${checked.error.message.slice(0, 300)}`);
  for (const note of checked.data.notes) mustBeFit('a note', note);
  for (const one of settings) {
    if (!one) continue;
    const wanted = random.pick([0.004, 8, 100]);
    await survives('the nearest value', () =>
      nearest(stopsOf(one, random.pick([shutterOf, isoOf]), wanted), wanted, 1),
    );
  }
};

const messageKind: FuzzKind = {
  name: 'messages of the camera process',
  share: 4,
  async open() {
    return {
      async try(random) {
        const probability = random.pick([0.03, 0.1, 0.3]);
        const reply = safely(
          replySchema,
          JSON.parse(JSON.stringify(bent(random.pick(replies), random, probability)) ?? 'null'),
        );
        if (reply.success && 'failed' in reply.data) {
          const {code, said, slow} = reply.data.failed;
          const fault = new CallFault('refused', code, said, slow);
          await survives('a refusal', () => {
            throw cameraFaultOf(fault, 'usb', 'set the aperture', linkAfter(fault) === 'lost');
          });
        }
        const frames = createFrames();
        if (reply.success && 'event' in reply.data && reply.data.event === 'file') {
          const frame = frames.frameOf(reply.data.file);
          mustBeFit('a frame', `${frame.folder} ${frame.name}`);
        }
        const name = random.pick(Object.keys(answers) as CallName[]);
        const answer = safely<unknown>(
          answerSchemas[name],
          JSON.parse(JSON.stringify(bent(answers[name], random, probability)) ?? 'null'),
        );
        if (!answer.success) return;
        if (name === 'read') await statusFrom((answer.data as {settings: (Setting | null)[]}).settings, random);
        if (name === 'list') {
          for (const one of (answer.data as {files: (typeof file)[]}).files) {
            const frame = frames.frameOf(one);
            mustBeFit('a frame', `${frame.folder} ${frame.name}`);
          }
        }
      },
    };
  },
};

/** The texts in which cameras give their settings, and where a person says a camera is. */
const valueKind: FuzzKind = {
  name: 'settings as text',
  share: 4,
  async open() {
    return {
      async try(random) {
        const text = random.chance(0.5)
          ? hostileText(random, 20)
          : `${hostileNumber(random)}${random.pick(['', 's', '/', ' 3/10', '%', ' sec'])}${random.chance(0.5) ? hostileNumber(random) : ''}`;
        for (const value of [shutterOf(text), isoOf(text)])
          if (typeof value === 'number' && !(value >= 0))
            throw new Finding(`${JSON.stringify(text)} is read as ${value}`);
        await survives('a port', () => parsePort(text));
      },
    };
  },
};

export const cameraKinds: FuzzKind[] = [messageKind, valueKind];
