import {createServer, type Server, type Socket} from 'node:net';
import type {Camera} from '../../shared/camera.js';
import {createCard} from './card.js';
import {OPERATION, PACKET, RESPONSE} from './codes.js';
import {createFaults, type Fault, type Moment} from './faults.js';
import {type Answer, createOperations, type Habits} from './operations.js';
import {
  createCutter,
  dataHeader,
  event,
  frame,
  type OperationRequest,
  type Packet,
  readRequest,
  response,
  startData,
} from './packets.js';

const usual: Habits = {
  dialect: 'plain',
  without: [],
  lacking: [],
  clockSkewMs: 0,
  completeFirst: false,
  silentAfterExposure: false,
  maker: 'darkset',
  model: 'loopback camera',
  serial: '0001',
};

export type LoopbackOptions = Partial<Habits> & {
  /** Default: one that is free. */
  port?: number;
  /** Payload of one data packet, bytes. */
  packetBytes?: number;
};

const send = (socket: Socket, bytes: Buffer): Promise<void> =>
  new Promise(resolve => {
    if (socket.destroyed) resolve();
    else if (socket.write(bytes) || !socket.writableNeedDrain) resolve();
    else {
      const settled = (): void => {
        socket.off('drain', settled).off('close', settled);
        resolve();
      };
      socket.on('drain', settled).on('close', settled);
    }
  });

/** One answer as bytes: data packets first, then the response. */
const encoded = (answer: Answer, transaction: number, packetBytes: number): {data: Buffer[]; closing: Buffer} => {
  const data: Buffer[] = [];
  if (answer.data !== undefined) {
    data.push(startData(transaction, answer.data.length));
    for (let at = 0; at === 0 || at < answer.data.length; at += packetBytes) {
      const payload = answer.data.subarray(at, at + packetBytes);
      data.push(dataHeader(transaction, payload.length, at + packetBytes >= answer.data.length), payload);
    }
  }
  return {data, closing: response(answer.code, transaction, answer.parameters)};
};

/**
 * A network camera on this machine: speaks PTP/IP (CIPA DC-005) for whatever camera stands behind it, and goes wrong
 * when a test asks for it.
 */
export const startLoopbackCamera = async (camera: Camera, options: LoopbackOptions = {}) => {
  const habits: Habits = {...usual, ...options};
  const packetBytes = options.packetBytes ?? 65_536;
  const faults = createFaults();
  const card = createCard(camera, () => habits.clockSkewMs);
  const sockets = new Set<Socket>();
  let eventSocket: Socket | null = null;
  let frozen = false;
  let port = options.port ?? 0;
  const asked: number[] = [];

  const tell = (code: number, parameters: number[]): void => {
    if (!frozen) eventSocket?.write(event(code, 0, parameters));
  };
  const operations = createOperations(camera, card, habits, tell);

  const afterBytes = async (socket: Socket, bytes: Buffer, count: number, then: () => void): Promise<void> => {
    await send(socket, bytes.subarray(0, Math.min(count, bytes.length)));
    then();
  };

  /** Lets the fault happen. @returns whether the answer still has to be sent as usual */
  const suffer = async (socket: Socket, fault: Fault, bytes: () => Promise<Buffer>): Promise<boolean> => {
    switch (fault.kind) {
      case 'end':
        await afterBytes(socket, await bytes(), fault.afterBytes, () => socket.end());
        return false;
      case 'reset':
        await afterBytes(socket, await bytes(), fault.afterBytes, () => socket.resetAndDestroy());
        return false;
      case 'stall':
        await afterBytes(socket, await bytes(), fault.afterBytes, () => undefined);
        return false;
      case 'garbage':
        await send(socket, fault.bytes);
        return false;
      case 'mangle':
        await send(socket, fault.mangle(await bytes()));
        return false;
      case 'late':
        await new Promise(resolve => setTimeout(resolve, fault.ms));
        return true;
      default:
        return true;
    }
  };

  const answerRequest = async (socket: Socket, request: OperationRequest, sent: Buffer): Promise<void> => {
    asked.push(request.code);
    const {code, transaction, parameters} = request;
    const fault = faults.take(code);
    if (fault?.kind === 'refuse') return send(socket, response(fault.code, transaction));
    if (fault?.kind === 'pretend') return send(socket, response(RESPONSE.ok, transaction));
    const answer = await operations.carryOut(code, parameters, sent, transaction);
    const {data, closing} = encoded(answer, transaction, packetBytes);
    if (fault !== null && !(await suffer(socket, fault, async () => Buffer.concat([...data, closing])))) return;
    if (frozen) return;
    // Header and payload leave together: one small packet alone waits for the other side's acknowledgement.
    socket.cork();
    for (const bytes of data) socket.write(bytes);
    if (fault?.kind !== 'no response') socket.write(closing);
    socket.uncork();
    if (socket.writableNeedDrain) await send(socket, Buffer.alloc(0));
    if (code === OPERATION.closeSession) return;
  };

  const handshake = async (socket: Socket, at: Moment, packet: Buffer): Promise<void> => {
    const fault = faults.take(at);
    if (fault === null || (await suffer(socket, fault, async () => packet))) await send(socket, packet);
  };

  const greeting = (): Buffer => {
    const name = Buffer.from(`${habits.model}\0`, 'utf16le');
    const body = Buffer.alloc(4 + 16 + name.length + 4);
    body.writeUInt32LE(1, 0);
    name.copy(body, 20);
    body.writeUInt32LE(0x00010000, 20 + name.length);
    return frame(PACKET.initCommandAck, body);
  };

  const serve = (socket: Socket): void => {
    let request: OperationRequest | null = null;
    let sent: Buffer[] = [];
    let turn: Promise<void> = Promise.resolve();
    const inTurn = (work: () => Promise<void>): void => {
      turn = turn.then(work).catch(() => {
        socket.destroy();
      });
    };
    const take = (packet: Packet): void => {
      if (frozen) return;
      if (packet.type === PACKET.initCommand) inTurn(() => handshake(socket, 'command handshake', greeting()));
      else if (packet.type === PACKET.initEvents) {
        eventSocket = socket;
        inTurn(() => handshake(socket, 'event handshake', frame(PACKET.initEventsAck, Buffer.alloc(0))));
      } else if (packet.type === PACKET.probe) inTurn(() => send(socket, frame(PACKET.probeAnswer, Buffer.alloc(0))));
      else if (packet.type === PACKET.request) {
        const asking = readRequest(packet.body);
        if (asking.sendsData) {
          request = asking;
          sent = [];
        } else inTurn(() => answerRequest(socket, asking, Buffer.alloc(0)));
      } else if (packet.type === PACKET.data || packet.type === PACKET.endData) {
        sent.push(packet.body.subarray(4));
        if (packet.type === PACKET.endData && request !== null) {
          const [asking, bytes] = [request, Buffer.concat(sent)];
          request = null;
          inTurn(() => answerRequest(socket, asking, bytes));
        }
      }
    };
    socket.setNoDelay(true);
    sockets.add(socket);
    socket.on('close', () => {
      sockets.delete(socket);
      if (eventSocket === socket) eventSocket = null;
    });
    socket.on('error', () => socket.destroy());
    socket.on(
      'data',
      createCutter(take, () => socket.destroy()),
    );
  };

  let server: Server | null = null;
  const listen = (): Promise<void> =>
    new Promise((resolve, reject) => {
      const listening = createServer(serve);
      server = listening;
      listening.once('error', reject);
      listening.listen(port, '127.0.0.1', () => {
        const address = listening.address();
        if (typeof address === 'object' && address !== null) port = address.port;
        resolve();
      });
    });
  const unplug = async (): Promise<void> => {
    const closing = server;
    server = null;
    for (const socket of sockets) socket.destroy();
    await new Promise<void>(resolve => (closing === null ? resolve() : closing.close(() => resolve())));
  };
  await listen();

  return {
    port,
    habits,
    inject: faults.inject,
    clearFaults: faults.clear,
    faultsWaiting: faults.waiting,
    /** The operations that were asked for, oldest first. */
    asked,
    /** Sends bytes of our choice where events are expected. */
    sendAsEvent: (bytes: Buffer): void => void eventSocket?.write(bytes),
    pressRelease: operations.byHand,
    dialTurned: operations.turned,
    idle: operations.idle,
    /** Answers nothing any more, with the connections open. */
    freeze: (): void => {
      frozen = true;
    },
    thaw: (): void => {
      frozen = false;
    },
    unplug,
    plugIn: listen,
    async stop(): Promise<void> {
      await unplug();
      await operations.end();
      await card.remove();
    },
  };
};

export type LoopbackCamera = Awaited<ReturnType<typeof startLoopbackCamera>>;
