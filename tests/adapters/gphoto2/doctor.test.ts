import {readFileSync} from 'node:fs';
import {describe, expect, it} from 'vitest';
import {doctorGphoto2} from '../../../adapters/gphoto2/doctor.js';
import {type FindOptions, findCameras} from '../../../adapters/gphoto2/find.js';
import type {Machine} from '../../../adapters/gphoto2/machine.js';
import {thisMachine} from '../../../adapters/gphoto2/machine.js';
import {openGphoto2} from '../../../adapters/gphoto2/open.js';
import {causeOf, faultOf, needsLibrary, ownEnvironment} from './bench.js';

const quiet: Machine = {usbCameras: () => [], processNames: () => ['sh', 'node']};
const nowhere: [string, string][] = [['libnothing-of-that-name.so.6', 'libnothing.so.12']];

describe('looking for cameras', () => {
  it('finds the library, its drivers, and none on USB here', async context => {
    needsLibrary(context);
    const own = ownEnvironment();
    const {lines} = await doctorGphoto2({environment: own.environment, machine: quiet});
    own.remove();
    expect(lines.map(line => line.what)).toEqual(['library', 'drivers', 'cameras', 'permissions']);
    expect(lines[0]).toMatchObject({state: 'ok', fix: null});
    expect(lines[0]!.say).toMatch(/^libgphoto2 \d+\.\d+\.\d+\.$/);
    expect(lines[1]!.say).toMatch(/^\d+ camera models, by .*network/);
    expect(lines[2]).toMatchObject({state: 'watch'});
    expect(lines[2]!.fix).not.toBeNull();
    expect(lines[3]).toMatchObject({state: 'ok'});
  });

  it('says in one line how to get the library where it is missing', async () => {
    const {lines} = await doctorGphoto2({libraries: nowhere, machine: quiet});
    expect(lines[0]).toMatchObject({what: 'library', state: 'fail'});
    expect(lines[0]!.fix).toMatch(/apt install libgphoto2-6/);
    for (const open of [findCameras, (options: FindOptions) => openGphoto2({...options, port: 'auto'})]) {
      const fault = await faultOf(open({libraries: nowhere}));
      expect(fault.reason).toBe('unable');
      expect(fault.message).toMatch(/Debian.*Fedora.*Arch.*Homebrew/);
    }
  });

  it('finds no camera to open on USB here', async context => {
    needsLibrary(context);
    const own = ownEnvironment();
    expect(await findCameras({environment: own.environment})).toEqual([]);
    expect(await causeOf(openGphoto2({port: 'auto', environment: own.environment}))).toBe('gone');
    own.remove();
  });
});

describe('who may use a camera', () => {
  const permissions = async (machine: Machine) =>
    (await doctorGphoto2({libraries: nowhere, machine})).lines.filter(line => line.what === 'permissions');

  it('names the node that this user may not open, and the line that helps', async () => {
    const node = '/dev/bus/usb/001/004';
    const [line] = await permissions({...quiet, usbCameras: () => [{node, mayOpen: false}]});
    expect(line).toMatchObject({state: 'fail'});
    expect(line!.say).toContain(node);
    expect(line!.fix).toContain('libgphoto2-6');
  });

  it('names the desktop’s service that takes cameras', async () => {
    const taken: Machine = {
      usbCameras: () => [{node: '/dev/bus/usb/001/004', mayOpen: true}],
      // Linux cuts process names to fifteen letters.
      processNames: () => ['gvfs-gphoto2-vo'],
    };
    const [line] = await permissions(taken);
    expect(line).toMatchObject({state: 'fail'});
    expect(line!.fix).toContain('systemctl --user');
    const [only] = await permissions({...taken, usbCameras: () => []});
    expect(only).toMatchObject({state: 'watch'});
  });

  it('is content where all is well', async () => {
    const [line] = await permissions({...quiet, usbCameras: () => [{node: '/dev/bus/usb/001/004', mayOpen: true}]});
    expect(line).toMatchObject({state: 'ok', fix: null});
  });

  it('every line is one line', async () => {
    const {lines} = await doctorGphoto2({libraries: nowhere, machine: quiet});
    for (const line of lines) expect(`${line.say}${line.fix ?? ''}`).not.toContain('\n');
  });

  it('looks at this machine without a fault', () => {
    expect(Array.isArray(thisMachine.usbCameras())).toBe(true);
    expect(thisMachine.processNames()).toContain(readFileSync('/proc/self/comm', 'utf8').trim());
  });
});
