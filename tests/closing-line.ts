import type {Reporter, TestModule} from 'vitest/node';

/** Prints one plain last line with the counts, for whoever reads a log from its end. */
export default class ClosingLine implements Reporter {
  onTestRunEnd(modules: ReadonlyArray<TestModule>): void {
    const counts = {passed: 0, failed: 0, skipped: 0, pending: 0};
    for (const module of modules) {
      for (const test of module.children.allTests()) counts[test.result().state] += 1;
      if (module.errors().length > 0) counts.failed += 1;
    }
    process.on('exit', () =>
      console.log(`${counts.passed} passed, ${counts.failed} failed, ${counts.skipped} skipped`),
    );
  }
}
