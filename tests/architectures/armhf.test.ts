import { describe } from "vitest";
import { ARCHITECTURES } from "../../systemd/package/architectures.ts";
import { operate } from "./emulated-operation.ts";

describe("the armhf package on an emulated processor", () => operate(ARCHITECTURES.armhf));
