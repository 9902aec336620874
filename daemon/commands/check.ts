// placeholder
import type { Command } from "commander";
export function register(_program: Command): void {}
