import { defineConfig } from "vitest/config";

/** Tests of the delivered program in a real browser: slow, one after the other. */
export default defineConfig({
  test: {
    include: ["tests/service/**/*.test.ts"],
    testTimeout: 180_000,
    hookTimeout: 60_000,
    fileParallelism: false,
  },
});
