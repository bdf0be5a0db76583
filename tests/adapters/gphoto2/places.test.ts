import {describe, expect, it} from 'vitest';
import {createFrames} from '../../../adapters/gphoto2/frames.js';
import {libraryHint, libraryNames} from '../../../adapters/gphoto2/hint.js';
import {libraryPortOf, parsePort, printPort} from '../../../adapters/gphoto2/port.js';
import {causeOf, faultOf} from './bench.js';

describe('where a camera is', () => {
  it.each([
    ['auto', {kind: 'usb', path: null}],
    ['usb', {kind: 'usb', path: null}],
    ['usb:001,004', {kind: 'usb', path: 'usb:001,004'}],
    ['ip:192.168.1.7', {kind: 'network', host: '192.168.1.7', number: 15_740}],
    ['ip:127.0.0.1:4001', {kind: 'network', host: '127.0.0.1', number: 4001}],
    ['ip:camera.local:15740', {kind: 'network', host: 'camera.local', number: 15_740}],
  ] as const)('%s', (text, expected) => {
    expect(parsePort(text)).toEqual(expected);
    expect(parsePort(printPort(parsePort(text)))).toEqual(expected);
  });

  it.each([
    '',
    'ip:',
    'ip:host:0',
    'ip:host:65536',
    'ip:a b',
    'ip:[::1]',
    'disk:/etc',
    'serial:/dev/ttyS0',
    'ip:x\u001b[2J',
  ])('nothing else: %j', text => {
    expect(() => parsePort(text)).toThrow(/not a camera’s place/);
  });

  it('is given to the library as a number', async () => {
    expect(await libraryPortOf(parsePort('ip:127.0.0.1:4001'))).toBe('ptpip:127.0.0.1:4001:4001');
    expect(await libraryPortOf(parsePort('ip:localhost:4001'))).toBe('ptpip:127.0.0.1:4001:4001');
    expect(await libraryPortOf(parsePort('usb:001,004'))).toBe('usb:001,004');
    expect(await libraryPortOf(parsePort('auto'))).toBeNull();
  });

  it('may be a name that leads nowhere', async () => {
    expect(await causeOf(libraryPortOf(parsePort('ip:nobody.invalid')))).toBe('gone');
    expect((await faultOf(libraryPortOf(parsePort('ip:nobody.invalid')))).message).toContain('nobody.invalid');
  });
});

describe('the missing library', () => {
  it('is named for four systems in one line', () => {
    const line = libraryHint();
    expect(line).not.toContain('\n');
    for (const word of ['Debian', 'Fedora', 'Arch', 'Homebrew', 'libgphoto2']) expect(line).toContain(word);
  });

  it('has its own file names on each system', () => {
    expect(libraryNames('linux')).toEqual([['libgphoto2.so.6', 'libgphoto2_port.so.12']]);
    expect(libraryNames('darwin')[0]).toEqual(['libgphoto2.6.dylib', 'libgphoto2_port.12.dylib']);
  });
});

describe('frames and the files they stand for', () => {
  const file = (name: string, folder = '/card') => ({folder, name, bytes: 10, mime: '', madeAtSeconds: null});

  it('a file is the same frame every time', () => {
    const frames = createFrames();
    expect(frames.frameOf(file('A.JPG'))).toBe(frames.frameOf(file('A.JPG')));
  });

  it('a plain name leads back to the camera’s own', () => {
    const frames = createFrames();
    const own = {folder: '/card/\u001b[1m', name: '\u0007bell.jpg'};
    const frame = frames.frameOf(file(own.name, own.folder));
    expect(frame).toMatchObject({folder: '/card/ [1m', name: ' bell.jpg', kind: 'jpeg'});
    expect(frames.fileOf(frame)).toEqual(own);
  });

  it('a frame of an earlier run is asked for as it was written down', () => {
    const frame = {folder: '/card', name: 'OLD.JPG', kind: 'jpeg' as const, bytes: 10};
    expect(createFrames().fileOf(frame)).toEqual({folder: '/card', name: 'OLD.JPG'});
  });

  it('a name of four kilobytes is cut', () => {
    expect(createFrames().frameOf(file('n'.repeat(4096))).name.length).toBeLessThan(210);
  });
});
