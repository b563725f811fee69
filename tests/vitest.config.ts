import { join } from 'node:path';
import { defineConfig } from 'vitest/config';

const report = process.env.YEARBOOK_REPORT;

export default defineConfig({
  test: {
    root: join(import.meta.dirname, '..'),
    include: ['tests/**/*.test.ts'],
    environment: 'node',
    // Patience, and nothing that is measured: a machine may be many times slower, or busy with other work.
    testTimeout: 240_000,
    hookTimeout: 240_000,
    expect: { poll: { timeout: 60_000 } },
    maxWorkers: 2,
    // .ci/run counts from this file; a person reads the plain report.
    reporters: report ? ['default', ['json', { outputFile: report }]] : ['default'],
  },
});
