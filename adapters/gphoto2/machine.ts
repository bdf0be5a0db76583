import {accessSync, constants, readdirSync, readFileSync} from 'node:fs';
import {join} from 'node:path';

/** What doctor looks at beside the library. */
export type Machine = {
  /** Still-image devices on USB, with the node that opens each, and whether this user may. */
  usbCameras(): {node: string; mayOpen: boolean}[];
  /** Names of the processes that run, as the system gives them (Linux cuts them to 15 letters). */
  processNames(): string[];
};

const USB = '/sys/bus/usb/devices';
/** The USB class of still-image devices (USB-IF class codes). */
const STILL_IMAGE = '06';

const read = (...path: string[]): string => {
  try {
    return readFileSync(join(...path), 'utf8').trim();
  } catch {
    return '';
  }
};

const namesIn = (folder: string): string[] => {
  try {
    return readdirSync(folder);
  } catch {
    return [];
  }
};

const mayOpen = (node: string): boolean => {
  try {
    accessSync(node, constants.R_OK | constants.W_OK);
    return true;
  } catch {
    return false;
  }
};

/** This machine, as far as Linux shows it; elsewhere nothing is found. */
export const thisMachine: Machine = {
  usbCameras: () => {
    const devices = namesIn(USB)
      .filter(name => read(USB, name, 'bInterfaceClass') === STILL_IMAGE)
      .map(name => name.split(':')[0]!);
    return [...new Set(devices)].flatMap(name => {
      const [bus, device] = [read(USB, name, 'busnum'), read(USB, name, 'devnum')];
      if (bus === '' || device === '') return [];
      const node = join('/dev/bus/usb', bus.padStart(3, '0'), device.padStart(3, '0'));
      return [{node, mayOpen: mayOpen(node)}];
    });
  },
  processNames: () =>
    namesIn('/proc')
      .filter(name => /^\d+$/.test(name))
      .map(name => read('/proc', name, 'comm'))
      .filter(name => name !== ''),
};
