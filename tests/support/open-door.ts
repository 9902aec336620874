// A door as on a machine without passwords: whoever comes from this machine is its operator, everybody else may look.

import { ALL_RIGHTS, READING } from "../../daemon/access/caller.ts";
import { type Callers, Door } from "../../daemon/outputs/door.ts";
import { guardFor } from "../../daemon/outputs/guard.ts";
import { peerReader } from "../../daemon/outputs/peer.ts";

export const NO_PASSWORDS: Callers = {
  standing: { operator: false, viewer: false, locked: false },
  caller: ({ address, local }) => ({
    who: local ? "operator" : "guest",
    address,
    rights: local ? ALL_RIGHTS : READING,
    role: null,
    refused: false,
  }),
};

export function openDoor(callers: Callers = NO_PASSWORDS): Door {
  return new Door({ guard: guardFor([]), callers, peerOf: peerReader(() => false) });
}
