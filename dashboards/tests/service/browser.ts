import { mkdirSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import type { Page } from "playwright-core";

/** The distribution's Chromium, as quiet as it can be made. */
export const flags = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

export const desk = { width: 1920, height: 1080 };

/** Keeps a picture to look at; the one that the README shows is renewed on request, smaller than what people use. */
export async function picture(page: Page, name: string, inReadme = false): Promise<void> {
  const renew = inReadme && process.env.THERMOWATCH_PICTURES === "1";
  const folder = fileURLToPath(new URL(renew ? "../../pictures" : "../../../artifacts/pictures", import.meta.url));
  mkdirSync(folder, { recursive: true });
  if (renew) await page.setViewportSize({ width: 1440, height: 810 });
  await page.waitForTimeout(500);
  writeFileSync(`${folder}/${name}.png`, await page.screenshot());
  if (renew) await page.setViewportSize(desk);
}
