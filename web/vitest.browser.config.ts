import { defineConfig } from "vitest/config";

// The pages in a real browser against the real program: one program, one browser, one file after the other.
export default defineConfig({
  test: {
    include: ["browser/**/*.test.ts"],
    environment: "node",
    fileParallelism: false,
    testTimeout: 60_000,
    hookTimeout: 90_000,
  },
});
