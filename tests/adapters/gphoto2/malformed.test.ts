import {join} from 'node:path';
import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import {openGphoto2} from '../../../adapters/gphoto2/open.js';
import {CameraFault} from '../../../shared/camera.js';
import {OPERATION, PACKET} from '../../loopback-camera/codes.js';
import type {Fault} from '../../loopback-camera/faults.js';
import {event, frame, response, startData} from '../../loopback-camera/packets.js';
import {startLoopbackCamera} from '../../loopback-camera/server.js';
import {createStillCamera} from '../../loopback-camera/still-camera.js';
import {type Bench, needsLibrary, noSignal, ownEnvironment, plainly, until, withBench} from './bench.js';

/** Resolves whatever comes of it, as long as it is an answer or a fault that is meant for people. */
const survived = async (work: Promise<unknown>): Promise<'answered' | CameraFault> => {
  try {
    await work;
    return 'answered';
  } catch (fault) {
    expect(fault).toBeInstanceOf(CameraFault);
    return fault as CameraFault;
  }
};

const worksAgain = (camera: Bench['camera']): Promise<void> =>
  until(async () => (await survived(camera.status())) === 'answered', 40_000);

const length = (bytes: number, type = PACKET.response as number): Buffer => {
  const header = Buffer.alloc(8);
  header.writeUInt32LE(bytes >>> 0, 0);
  header.writeUInt32LE(type, 4);
  return header;
};

const packets: [string, Buffer][] = [
  ['a length of nothing', length(0)],
  ['a length shorter than its own header', length(4)],
  ['a length of four gigabytes', length(0xffffffff)],
  ['a length of two gigabytes', length(0x7fffffff)],
  ['a kind that nobody knows', frame(99, Buffer.alloc(12))],
  ['a response without a body', frame(PACKET.response, Buffer.alloc(0))],
  [
    'a response with more parameters than there are',
    response(
      0x2001,
      1,
      Array.from({length: 40}, () => 7),
    ),
  ],
  ['data that was never announced', frame(PACKET.endData, Buffer.alloc(40))],
  ['an announcement of all the bytes in the world', startData(1, Number.MAX_SAFE_INTEGER)],
  ['more data than was announced', Buffer.concat([startData(1, 4), frame(PACKET.endData, Buffer.alloc(4000, 0xff))])],
  ['less data than was announced', Buffer.concat([startData(1, 4000), frame(PACKET.endData, Buffer.alloc(8))])],
  ['half a header', Buffer.from([1, 2, 3])],
];

describe('a camera that sends nonsense', () => {
  it('in place of a setting, is survived', async context => {
    needsLibrary(context);
    await withBench({}, async ({camera, loopback}) => {
      for (const [name, bytes] of packets) {
        loopback.inject(OPERATION.getPropertyDescription, {kind: 'garbage', bytes});
        // The driver keeps what it has read for two seconds.
        await until(async () => {
          await survived(camera.status());
          return loopback.faultsWaiting() === 0;
        });
        expect(loopback.faultsWaiting(), name).toBe(0);
        await worksAgain(camera);
      }
    });
  }, 180_000);

  it('in place of a frame’s bytes, leaves no file', async context => {
    needsLibrary(context);
    await withBench({}, async ({camera, loopback, folder}) => {
      const [taken] = await camera.expose(plainly(1));
      for (const [index, [, bytes]] of packets.slice(0, 5).entries()) {
        loopback.inject(OPERATION.getPartialObject, {kind: 'garbage', bytes});
        const path = join(folder, `nonsense-${index}`);
        const outcome = await survived(camera.pull(taken!, path, () => undefined, noSignal()));
        expect(outcome).toBeInstanceOf(CameraFault);
        await worksAgain(camera);
      }
    });
  });

  it('where events are expected, is survived', async context => {
    needsLibrary(context);
    await withBench({}, async ({camera, loopback}) => {
      const nonsense = [
        event(0x4002, 0, [0xdeadbeef]),
        event(0x4006, 0, [0xffffffff]),
        event(0xffff, 0, [1, 2, 3]),
        frame(PACKET.event, Buffer.alloc(0)),
        frame(77, Buffer.alloc(3)),
        length(2, PACKET.event),
      ];
      for (const bytes of nonsense) {
        loopback.sendAsEvent(bytes);
        await new Promise(resolve => setTimeout(resolve, 250));
        await survived(camera.status());
        await worksAgain(camera);
      }
    });
  });

  it.for<[string, 'command handshake' | number, Fault]>([
    ['a greeting without an end', 'command handshake', {kind: 'mangle', mangle: bytes => bytes.subarray(0, 30)}],
    [
      'a greeting of one byte',
      'command handshake',
      {kind: 'garbage', bytes: frame(PACKET.initCommandAck, Buffer.alloc(1))},
    ],
    ['a refusal', 'command handshake', {kind: 'garbage', bytes: frame(PACKET.initFail, Buffer.alloc(4))}],
    ['a description cut short', OPERATION.getDeviceInfo, {kind: 'mangle', mangle: bytes => bytes.subarray(0, 50)}],
    [
      'a description whose lists never end',
      OPERATION.getDeviceInfo,
      {kind: 'mangle', mangle: bytes => bytes.fill(0xff, 44, bytes.length - 14)},
    ],
  ])('while it is being connected: %s', async ([, moment, fault], context) => {
    needsLibrary(context);
    const own = ownEnvironment();
    const loopback = await startLoopbackCamera(createStillCamera().camera);
    loopback.inject(moment, fault);
    const open = () => openGphoto2({port: `ip:127.0.0.1:${loopback.port}`, environment: own.environment});
    const camera = await open().catch((refused: unknown) => {
      expect(refused).toBeInstanceOf(CameraFault);
      return open();
    });
    expect(loopback.faultsWaiting()).toBe(0);
    expect((await camera.status()).can.openShutter).toBe(true);
    await camera.close();
    await loopback.stop();
    own.remove();
  });

  it('of any kind leaves the program standing', async context => {
    needsLibrary(context);
    const moments = fc.constantFrom(
      OPERATION.getPropertyDescription,
      OPERATION.getStorageInfo,
      OPERATION.getStorageIds,
      OPERATION.initiateCapture,
      OPERATION.getObjectInfo,
      OPERATION.getPartialObject,
    );
    const mangled = fc.array(fc.tuple(fc.nat(400), fc.nat(255)), {minLength: 1, maxLength: 6});
    await withBench({open: {writingMs: 300}}, async ({camera, loopback, folder}) => {
      let count = 0;
      await fc.assert(
        fc.asyncProperty(moments, mangled, fc.nat(400), async (moment, changes, cut) => {
          count += 1;
          loopback.inject(moment, {
            kind: 'mangle',
            mangle: bytes => {
              const changed = Buffer.from(bytes);
              for (const [at, value] of changes) if (at < changed.length) changed[at] = value;
              return cut % 3 === 0 ? changed.subarray(0, Math.max(1, changed.length - cut)) : changed;
            },
          });
          const frames = await camera.expose(plainly(0.5)).catch((fault: unknown) => {
            expect(fault).toBeInstanceOf(CameraFault);
            return [];
          });
          for (const [index, one] of frames.entries()) {
            await survived(camera.pull(one, join(folder, `any-${count}-${index}`), () => undefined, noSignal()));
          }
          await survived(camera.strays(Date.now() - 1000));
          loopback.clearFaults();
          await worksAgain(camera);
        }),
        {numRuns: 6, seed: 20_260_131, endOnFailure: true},
      );
    });
  }, 240_000);
});
