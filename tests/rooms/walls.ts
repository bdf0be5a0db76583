import {darkness, type LightMap} from './light-map.js';
import {photographTexture} from './photographs.js';
import {fractalNoise, type Random} from './random.js';
import type {WallRecipe} from './recipe.js';

/** Relative reflectance of a wall, mean about 1. */
export const paintWall = async (
  recipe: WallRecipe,
  width: number,
  height: number,
  random: Random,
): Promise<LightMap> => {
  const map = darkness(width, height);
  const seed = random.integer(1, 1_000_000);
  const unit = Math.max(width, height) / 1500;
  const photographic =
    recipe.kind === 'brick' || recipe.kind === 'gravel' || recipe.kind === 'grass' ? recipe.kind : null;
  const texture = photographic ? await photographTexture(photographic) : null;
  const zoom = random.between(0.7, 1.4) / unit;
  const lightnessAt = (x: number, y: number): number => {
    if (texture) return texture(x * zoom, y * zoom);
    switch (recipe.kind) {
      case 'plaster':
        return 2 * fractalNoise((x * zoom) / 60, (y * zoom) / 60, seed, 5);
      case 'curtain':
        return 1 + 0.6 * Math.sin((x * zoom) / 22 + 2 * fractalNoise((x * zoom) / 150, (y * zoom) / 400, seed, 2));
      case 'panels':
        return (x * zoom) % 180 < 5 ? 0.35 : 1.02 + 0.2 * (fractalNoise(x / 200, y / 8, seed, 2) - 0.5);
      default:
        return 1 + 0.1 * (fractalNoise(x / 300, y / 300, seed, 2) - 0.5);
    }
  };
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const lightness = Math.max(0.05, 1 + recipe.depth * (lightnessAt(x, y) - 1));
      for (let c = 0; c < 3; c++) map.data[(y * width + x) * 3 + c] = lightness * recipe.colour[c]!;
    }
  }
  return map;
};
