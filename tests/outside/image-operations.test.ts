import {execFileSync} from 'node:child_process';
import {mkdtempSync, readFileSync, rmSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import sharp from 'sharp';
import {afterAll, beforeEach, describe, expect, test} from 'vitest';
import {linearToSrgb, srgbToLinear} from '../../src/frame/curve/srgb.js';
import {decodeFrame} from '../../src/frame/decode/decode.js';
import {nonNegativeLeastSquares} from '../../src/frame/fit/nnls.js';
import {histogramOf} from '../../src/frame/histogram.js';
import {phaseCorrelation, spectrumOf} from '../../src/frame/register/phase-correlation.js';
import {madSigma, medianOf, quantile} from '../../src/frame/robust.js';
import {chromaticity, mccamy} from '../../src/frame/room/colour-temperature.js';
import {laplacianVariance} from '../../src/frame/sharpness.js';
import {connectedComponents} from '../../src/frame/trail/components.js';
import {needs} from '../needs.js';
import reference from './image-operations.json' with {type: 'json'};

/* image-operations.json was printed by image-operations.py beside it: scikit-image, OpenCV, SciPy and numpy. */

const pictures = '/usr/lib/python3/dist-packages/skimage/data';

const greyOf = async (name: string) => {
  const {data, info} = await sharp(path.join(pictures, `${name}.png`))
    .greyscale()
    .raw()
    .toBuffer({resolveWithObject: true});
  return {values: Uint8Array.from(data), width: info.width, height: info.height};
};

describe('sRGB (IEC 61966-2-1)', () => {
  test('encodes middle grey and decodes a half as published', () => {
    expect(linearToSrgb(0.18)).toBeCloseTo(0.461356129500442, 12);
    expect(srgbToLinear(0.5)).toBeCloseTo(0.21404114, 8);
    expect(srgbToLinear(128 / 255)).toBeCloseTo(0.215861, 6);
  });

  test('levels in EV against 8-bit codes are the computed table', () => {
    const codes = [117.65, 84.62, 59.87, 41.34, 27.45, 17.05, 9.27, 4.63, 2.32, 1.16, 0.58, 0.29];
    expect(codes.map((_, ev) => Number((255 * linearToSrgb(0.18 / 2 ** ev)).toFixed(2)))).toEqual(codes);
  });
});

describe('colour', () => {
  test.each([
    [0.3127, 0.329, 6505.08059131, 'D65, colour-science/colour'],
    [0.44757, 0.40745, 2857.28961266, 'A, colour-science/colour'],
  ])('McCamy 1992 of (%d, %d) is %d K: %s', (x, y, kelvin) => {
    expect(mccamy(x, y)).toBeCloseTo(kelvin, 6);
  });

  test('sRGB (200, 150, 100) has the computed chromaticity', () => {
    const [r, g, b] = [200, 150, 100].map(code => srgbToLinear(code / 255)) as [number, number, number];
    const xy = chromaticity(r, g, b)!;
    expect(xy.x).toBeCloseTo(0.41646, 4);
    expect(xy.y).toBeCloseTo(0.39384, 4);
  });
});

describe('against scikit-image, OpenCV, SciPy and numpy', () => {
  beforeEach(context => needs(context, {python: 'skimage'}, 'python3-skimage'));

  test('a histogram in quarter stops counts as numpy does', async () => {
    const {image} = await decodeFrame(path.join(pictures, 'astronaut.png'));
    const luminance = new Float32Array(image.width * image.height);
    for (let at = 0; at < luminance.length; at += 1) {
      const [r, g, b] = [0, 1, 2].map(channel => srgbToLinear(image.rgb[at * 3 + channel]! / 255)) as [
        number,
        number,
        number,
      ];
      luminance[at] = 0.2126 * r + 0.7152 * g + 0.0722 * b;
    }
    const {fromEv, stepEv, counts} = histogramOf(luminance);
    expect([fromEv, stepEv, counts.length]).toEqual([-12, 0.25, reference.astronaut_histogram_quarter_ev.length]);
    // Light is binned in 32,768 steps: pixels on a bin's edge may fall to the other side, and only those.
    let moved = 0;
    counts.forEach((count, bin) => {
      moved += Math.abs(count - reference.astronaut_histogram_quarter_ev[bin]!);
    });
    // Each of them is counted twice, where it is and where it isn't.
    expect(moved / 2 / luminance.length).toBeLessThan(0.01);
  });

  test.each(Object.entries(reference.laplacian_variance))(
    'variance of the Laplacian of %s is %d',
    async (name, variance) => {
      const {values, width, height} = await greyOf(name);
      expect(laplacianVariance(Float32Array.from(values), width, height)).toBeCloseTo(variance, 3);
    },
  );

  test.each([4, 8] as const)('connected components by %d neighbours are as many and as large', async neighbours => {
    const {values, width} = await greyOf('coins');
    const mask = values.map(value => (value > 107 ? 1 : 0));
    const {areas} = connectedComponents(mask, width, neighbours);
    const expected = reference.coins_over_107[neighbours];
    expect(areas).toHaveLength(expected.components);
    expect(Math.max(...areas)).toBe(expected.largest_area);
    expect(areas.reduce((sum, area) => sum + area, 0)).toBe(expected.area);
  });

  test('phase correlation finds the shift of a rolled picture', async () => {
    const {values, width, height} = await greyOf('camera');
    const first = spectrumOf(values, width);
    for (const {down, right, skimage} of reference.phase_correlation) {
      const rolled = new Float64Array(values.length);
      for (let y = 0; y < height; y += 1) {
        for (let x = 0; x < width; x += 1) {
          rolled[((y + down + height) % height) * width + ((x + right + width) % width)] = values[y * width + x]!;
        }
      }
      const {dx, dy} = phaseCorrelation(first, spectrumOf(rolled, width));
      expect(dx).toBeCloseTo(skimage.dx, 2);
      expect(dy).toBeCloseTo(skimage.dy, 2);
    }
  });

  test('non-negative least squares is SciPy’s', () => {
    for (const {gram, moment, x} of reference.nnls) {
      const solved = nonNegativeLeastSquares(Float64Array.from(gram), Float64Array.from(moment));
      solved.forEach((value, at) => {
        expect(value).toBeCloseTo(x[at]!, 8);
      });
    }
  });

  test('median, quantiles and the spread by MAD are numpy’s and SciPy’s, outliers and all', () => {
    const {values, median, sigma, quantiles} = reference.mad;
    expect(medianOf(values)).toBe(median);
    expect(madSigma(values)).toBeCloseTo(sigma, 9);
    for (const [part, value] of Object.entries(quantiles)) expect(quantile(values, Number(part))).toBeCloseTo(value, 9);
  });
});

describe('decoding', () => {
  beforeEach(context => needs(context, {python: 'skimage, cv2'}, 'python3-skimage python3-opencv'));

  const folder = mkdtempSync(path.join(tmpdir(), 'darkset-decode-'));
  afterAll(() => rmSync(folder, {recursive: true}));

  test.each([
    ['4:2:0', false],
    ['4:4:4', false],
    ['4:4:4', true],
  ] as const)(
    'a real photograph as %s JPEG (progressive: %s) is what OpenCV decodes',
    async (chromaSubsampling, progressive) => {
      const file = path.join(folder, `portrait-${chromaSubsampling.replaceAll(':', '')}-${progressive}.jpg`);
      const raw = `${file}.raw`;
      await sharp(path.join(pictures, 'astronaut.png'))
        .jpeg({quality: 92, chromaSubsampling, progressive})
        .toFile(file);
      execFileSync('/usr/bin/python3', [
        '-c',
        'import sys, cv2; cv2.imread(sys.argv[1])[:, :, ::-1].tofile(sys.argv[2])',
        file,
        raw,
      ]);
      const expected = readFileSync(raw);
      const {image} = await decodeFrame(file);
      expect(image.rgb.length).toBe(expected.length);
      let sum = 0;
      for (let at = 0; at < expected.length; at += 1) sum += Math.abs(image.rgb[at]! - expected[at]!);
      // Decoders round the discrete cosine transform and smooth the colour planes in their own ways.
      expect(sum / expected.length).toBeLessThan(0.5);
    },
  );
});
