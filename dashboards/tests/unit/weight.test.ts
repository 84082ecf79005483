import { expect, test } from "vitest";
import { weigh } from "../../weigh.mjs";

test("the first page stays under 120 kB packed, and all pages under 250 kB", async () => {
  const { first, all } = await weigh();
  expect(first).toBeGreaterThan(30_000);
  expect(first).toBeLessThan(120_000);
  expect(all).toBeLessThan(250_000);
});
