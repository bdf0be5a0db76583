import {defineConfig} from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.{ts,tsx}'],
    globalSetup: ['tests/debian.ts'],
    reporters: ['default', './tests/closing-line.ts'],
    testTimeout: 30_000,
    hookTimeout: 60_000,
    // Two workers: the machine that runs CI has two cores, and the terminal tests time key presses.
    maxWorkers: 2,
  },
});
