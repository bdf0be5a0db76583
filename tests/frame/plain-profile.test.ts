import sharp from 'sharp';
import {describe, expect, it} from 'vitest';
import {isPlainProfile} from '../../src/frame/decode/plain-profile.js';
import {decoded, smooth} from './picture-files.js';

const profileOf = async (name: string): Promise<Buffer> => {
  const jpeg = await sharp({create: {width: 8, height: 8, channels: 3, background: '#f83'}})
    .withIccProfile(name)
    .jpeg()
    .toBuffer();
  return (await sharp(jpeg).metadata()).icc!;
};

describe('a colour profile', () => {
  it('that says sRGB does nothing, and another does', async () => {
    expect(await isPlainProfile(await profileOf('srgb'))).toBe(true);
    expect(await isPlainProfile(await profileOf('p3'))).toBe(false);
  });

  it('that says sRGB with another curve does something', async () => {
    const profile = Buffer.from(await profileOf('srgb'));
    // A parametric curve's first number is its exponent, in 65,536ths.
    const at = profile.indexOf('para');
    expect(at).toBeGreaterThan(0);
    profile.writeInt32BE(Math.round(1.8 * 65_536), at + 12);
    expect(await isPlainProfile(profile)).toBe(false);
  });

  it('that does nothing leaves a picture as it is without it, to one code', async () => {
    const plain = await smooth(200, 150).jpeg({quality: 95}).toBuffer();
    const labelled = await smooth(200, 150).withIccProfile('srgb').jpeg({quality: 95}).toBuffer();
    const [without, withIt] = [
      await decoded('plain.jpg', Promise.resolve(plain)),
      await decoded('labelled.jpg', Promise.resolve(labelled)),
    ];
    without.image.rgb.forEach((code, at) => {
      expect(Math.abs(code - withIt.image.rgb[at]!)).toBeLessThanOrEqual(1);
    });
  });
});
