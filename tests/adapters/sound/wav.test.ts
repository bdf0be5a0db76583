import {execFileSync} from 'node:child_process';
import {mkdtempSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import fc from 'fast-check';
import {expect, test} from 'vitest';
import {readWav, resample, trimSilence, writeWav} from '../../../adapters/sound/wav.js';
import {needs} from '../../needs.js';

const int16 = fc.array(fc.integer({min: -32_768, max: 32_767}), {maxLength: 200}).map(list => Int16Array.from(list));

test('a written WAVE file reads back as the same samples', () => {
  fc.assert(
    fc.property(int16, samples => {
      const read = readWav(writeWav(samples, 22_050));
      expect(read?.samplesPerSecond).toBe(22_050);
      expect([...(read?.samples ?? [])].map(sample => Math.round(sample * 32_768))).toEqual([...samples]);
    }),
  );
});

test("Python's own wave module reads the same rate, width and samples", context => {
  needs(context, 'python3', 'python3');
  const file = path.join(mkdtempSync(path.join(tmpdir(), 'darkset-wav-')), 'a.wav');
  writeFileSync(file, writeWav(Int16Array.of(0, 1, -1, 32_767, -32_768), 22_050));
  const script =
    'import struct,sys,wave\nw=wave.open(sys.argv[1])\nn=w.getnframes()\n' +
    'print(w.getnchannels(),w.getsampwidth(),w.getframerate(),*struct.unpack("<%dh"%n,w.readframes(n)))';
  expect(execFileSync('python3', ['-c', script, file], {encoding: 'utf8'}).trim()).toBe(
    '1 2 22050 0 1 -1 32767 -32768',
  );
});

test('several channels are averaged, and chunks that are not understood are passed over', () => {
  const stereo = Buffer.alloc(12 + 24 + 8 + 3 + 1 + 8 + 8);
  stereo.write('RIFF\0\0\0\0WAVEfmt ', 0, 'latin1');
  stereo.writeUInt32LE(16, 16);
  stereo.writeUInt16LE(1, 20);
  stereo.writeUInt16LE(2, 22);
  stereo.writeUInt32LE(8000, 24);
  stereo.writeUInt16LE(16, 34);
  stereo.write('FLLR', 36, 'latin1');
  stereo.writeUInt32LE(3, 40);
  stereo.write('data', 48, 'latin1');
  stereo.writeUInt32LE(8, 52);
  [16_384, 0, -16_384, -16_384].forEach((sample, index) => {
    stereo.writeInt16LE(sample, 56 + index * 2);
  });
  expect(readWav(stereo)).toEqual({samplesPerSecond: 8000, samples: Float32Array.of(0.25, -0.5)});
});

test.each([0, 0xffff_ffff])('a streamed file whose header says %i bytes is read to its end', size => {
  const file = writeWav(Int16Array.of(5, 6, 7), 22_050);
  file.writeUInt32LE(size, 40);
  expect(readWav(file)?.samples).toHaveLength(3);
});

test('whatever else is given is not a recording, and nothing is thrown', () => {
  expect(readWav(Buffer.alloc(0))).toBeNull();
  expect(readWav(Buffer.from('<html>not a sound</html>'))).toBeNull();
  const good = writeWav(Int16Array.of(1, 2, 3, 4), 22_050);
  fc.assert(
    fc.property(fc.nat(good.length), fc.nat(good.length - 1), fc.nat(255), (length, at, byte) => {
      const broken = Buffer.from(good);
      broken[at] = byte;
      expect(() => readWav(broken.subarray(0, length))).not.toThrow();
    }),
  );
});

test('resampling keeps the length in seconds and the height of a slow wave', () => {
  const slow = Float32Array.from({length: 16_000}, (_, index) => Math.sin((2 * Math.PI * 200 * index) / 16_000));
  const faster = resample({samplesPerSecond: 16_000, samples: slow}, 22_050);
  expect(faster.length / 22_050).toBeCloseTo(1, 3);
  faster.forEach((sample, index) => {
    expect(Math.abs(sample - Math.sin((2 * Math.PI * 200 * index) / 22_050))).toBeLessThan(0.002);
  });
});

test('silence before and after a word is cut, and silence alone leaves nothing', () => {
  expect(trimSilence(Float32Array.of(0, 0.001, 0.5, 0, -0.5, 0, 0))).toEqual(Float32Array.of(0.5, 0, -0.5));
  expect(trimSilence(new Float32Array(9))).toHaveLength(0);
});
