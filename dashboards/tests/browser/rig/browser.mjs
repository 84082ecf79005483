import { chromium } from "playwright-core";

/** The distribution's Chromium, as quiet as it can be made. */
export function launch() {
  return chromium.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: [
      "--no-sandbox",
      "--disable-gpu",
      "--disable-quic",
      "--no-first-run",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
    ],
  });
}

export const sizes = {
  wall: { width: 1920, height: 1080 },
  desk: { width: 1920, height: 1080 },
  touch: { width: 1024, height: 768 },
  phone: { width: 390, height: 844 },
  turned: { width: 844, height: 390 },
};
