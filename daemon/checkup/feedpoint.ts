// The whole feedpoint looked at once: parts, fan, air, and what is there instead where something is missing. It permits no power.

import type { OpenResult } from "../../hardware/open.ts";
import type { Board, HardwareSpec } from "../../hardware/ports.ts";
import { surveyBoard } from "../../hardware/survey.ts";
import type { Program } from "../core/step.ts";
import { checkAccess, checkPower } from "./access.ts";
import { checkAir } from "./air.ts";
import { checkFan } from "./fan.ts";
import { type Finding, troubled } from "./finding.ts";
import { lookAt } from "./look.ts";
import { checkClock } from "./machine.ts";
import { checkParts } from "./parts.ts";
import { secondTry } from "./second-try.ts";
import { isExplained, remedyFor } from "./whereabouts.ts";

export type FeedpointCheckup = {
  readonly opened: OpenResult;
  /** The board on which it was opened. */
  readonly board: Board;
  readonly spec: HardwareSpec;
  readonly fan: Program["fan"];
  /** Before every absolute path of the machine; empty on a real one. */
  readonly root?: string;
};

/** In the order in which a person would mend it: parts, then what their readings mean, then the machine. */
export async function checkFeedpoint({
  opened: firstOpened,
  board,
  spec,
  fan,
  root,
}: FeedpointCheckup): Promise<readonly Finding[]> {
  const opened = await secondTry(firstOpened);
  const look = lookAt(opened);
  const [parts, blower, air] = await Promise.all([
    checkParts(opened, look),
    checkFan(opened, fan, look),
    checkAir(opened.hardware),
  ]);
  const told = new Set([...parts, ...blower].map(({ what }) => what));
  const findings = [...parts, ...blower, ...untold(opened, told), ...air];
  return [
    ...(await explained(findings, opened, board, spec)),
    ...(board.simulated ? [] : await checkAccess(spec, board, root)),
    ...(await checkPower(board)),
    checkClock(opened.hardware.clock),
  ];
}

/** What could not be opened and has no reading to be asked for: buzzer, switches. */
function untold({ faults }: OpenResult, told: ReadonlySet<string>): readonly Finding[] {
  return faults.flatMap((fault) => (told.has(fault.name) ? [] : [troubled(fault.name, fault.place, fault)]));
}

/** A look around costs some seconds on a bus in trouble, so it is taken only where something is missing. */
async function explained(
  findings: readonly Finding[],
  { faults }: OpenResult,
  board: Board,
  spec: HardwareSpec,
): Promise<readonly Finding[]> {
  if (!faults.some(isExplained)) return findings;
  const survey = await surveyBoard(board);
  return findings.map((finding) => {
    const fault = faults.find(({ name, words }) => name === finding.what && finding.says.endsWith(words));
    const remedy = fault === undefined ? null : remedyFor(fault, spec, survey);
    return remedy === null ? finding : { ...finding, remedy };
  });
}
