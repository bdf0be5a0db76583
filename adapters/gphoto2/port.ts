import {lookup} from 'node:dns/promises';
import {isIPv4} from 'node:net';
import {CameraFault} from '../../shared/camera.js';
import {quote} from '../../shared/exposure.js';

/** The port that CIPA DC-005 gives to cameras. */
const USUAL_PORT = 15_740;

export type Port = {kind: 'usb'; path: string | null} | {kind: 'network'; host: string; number: number};

/**
 * Reads where a camera is: 'auto' (the first on USB), 'usb:001,004' as the search prints it, or 'ip:HOST[:PORT]'.
 * @throws CameraFault `unable`
 */
export const parsePort = (text: string): Port => {
  if (text === 'auto' || text === 'usb' || text === 'usb:') return {kind: 'usb', path: null};
  if (/^usb:\d{1,3},\d{1,3}$/.test(text)) return {kind: 'usb', path: text};
  const network = /^ip:([A-Za-z0-9.-]{1,253})(?::(\d{1,5}))?$/.exec(text);
  const number = Number(network?.[2] ?? USUAL_PORT);
  if (network !== null && number >= 1 && number <= 65_535) return {kind: 'network', host: network[1]!, number};
  throw new CameraFault('unable', `${quote(text)} is not a camera’s place; write ip:HOST:PORT, usb:001,004 or auto.`);
};

/** The library takes IPv4 numbers only. @throws CameraFault `gone` for a name that leads nowhere */
export const libraryPortOf = async (port: Port): Promise<string | null> => {
  if (port.kind === 'usb') return port.path;
  const address = isIPv4(port.host)
    ? port.host
    : await lookup(port.host, 4).then(
        found => found.address,
        () => null,
      );
  if (address === null) throw new CameraFault('gone', `No machine is called ${quote(port.host)} on this network.`);
  return `ptpip:${address}:${port.number}:${port.number}`;
};

export const printPort = (port: Port): string =>
  port.kind === 'usb' ? (port.path ?? 'usb') : `ip:${port.host}:${port.number}`;
