import { join } from 'node:path';
import { defineConfig } from 'vitest/config';

const report = process.env.YEARBOOK_REPORT;

export default defineConfig({
  test: {
    root: join(import.meta.dirname, '..'),
    include: ['tests/**/*.test.ts'],
    environment: 'node',
    testTimeout: 60_000,
    hookTimeout: 60_000,
    maxWorkers: 2,
    // .ci/run counts from this file; a person reads the plain report.
    reporters: report ? ['default', ['json', { outputFile: report }]] : ['default'],
  },
});
