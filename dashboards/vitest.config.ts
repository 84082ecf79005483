import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    include: ["tests/unit/**/*.test.ts"],
    // The tokens are read as text; without this an imported style sheet is empty.
    css: { include: [/tokens\.css/] },
  },
});
