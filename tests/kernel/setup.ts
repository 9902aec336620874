// Runs once before the scenarios: builds the guest's image and tells the tests where it is.

import { fileURLToPath } from "node:url";
import type { TestProject } from "vitest/node";
import { buildImage, type GuestImage } from "./image/image.ts";

declare module "vitest" {
  export interface ProvidedContext {
    guestImage: GuestImage;
  }
}

export default async function setup(project: TestProject): Promise<void> {
  const checkout = fileURLToPath(new URL("../..", import.meta.url));
  const began = performance.now();
  const say = (line: string) => {
    process.stdout.write(`guest image, ${((performance.now() - began) / 1000).toFixed(1)} s: ${line}\n`);
  };
  const image = await buildImage(checkout, say);
  say(`ready (${image.versions})`);
  project.provide("guestImage", image);
}
