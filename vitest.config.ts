import { defineConfig } from 'vitest/config'

/**
 * `forks`, never `threads`: Node aborts when a worker thread that loaded the serial port binding ends.
 */
const quick = ['tests/ingest/**', 'tests/server/**', 'tests/web/**', 'tests/contract/**']

export default defineConfig({
  test: {
    pool: 'forks',
    // most scenarios wait for processes of their own: one more than the cores of a small machine; four were slower
    maxWorkers: 3,
    reporters: ['default'],
    setupFiles: ['tests/support/property-seed.ts'],
    projects: [
      {
        extends: true,
        test: { name: 'unit', include: quick.map((p) => `${p}/*.test.ts`), testTimeout: 60_000 },
      },
      {
        extends: true,
        test: {
          name: 'scenario',
          include: ['tests/scenario/**/*.test.ts'],
          testTimeout: 120_000,
          hookTimeout: 60_000,
        },
      },
      {
        extends: true,
        test: {
          name: 'browser',
          include: ['tests/browser/**/*.test.ts'],
          testTimeout: 120_000,
          hookTimeout: 60_000,
        },
      },
    ],
  },
})
