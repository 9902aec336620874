// skeleton
import type { Board, HardwareSpec, PermitRelay } from "./ports.ts";

export type RelaySpec = NonNullable<HardwareSpec["relay"]>;

/** Opens both lines released. */
export function openRelay(_spec: RelaySpec, _board: Board): Promise<PermitRelay> {
  throw new Error("to be filled in");
}

/** What became of one line on release; `error` null = it reads released. */
export type ReleasedLine = { readonly line: "reduce" | "inhibit"; readonly error: Error | null };

/** Releases both lines whatever held them before, each on its own; never rejects. For the `release` command. */
export function releaseLines(_spec: RelaySpec, _board: Board): Promise<readonly ReleasedLine[]> {
  throw new Error("to be filled in");
}
