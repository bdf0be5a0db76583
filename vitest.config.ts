import {defineConfig} from 'vitest/config';
import {BaseSequencer, type TestSpecification} from 'vitest/node';

/** Files that take a minute or more: were one of them the last, it would run alone. */
const LONG = ['kills', 'rooms-relit', 'rooms', 'rooms-apart', 'gphoto2/faults', 'whole-shoot', 'malformed'];

const isLong = ({moduleId}: TestSpecification): boolean => LONG.some(name => moduleId.endsWith(`/${name}.test.ts`));

class LongFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const sorted = await super.sort(files);
    return [...sorted.filter(isLong), ...sorted.filter(file => !isLong(file))];
  }
}

export default defineConfig({
  test: {
    include: ['tests/**/*.test.{ts,tsx}'],
    globalSetup: ['tests/debian.ts'],
    reporters: ['default', './tests/closing-line.ts'],
    testTimeout: 30_000,
    hookTimeout: 60_000,
    sequence: {sequencer: LongFirst},
    // Two workers: the machine that runs CI has two cores, and the terminal tests time key presses.
    maxWorkers: 2,
  },
});
