// Writes the model of the simulated feedpoint anew: node dist/tests/demo/write.js, from the root of the checkout after a build.

import { writeFileSync } from "node:fs";
import { DEMO_MODEL_FILE, demoModule } from "./model.ts";

writeFileSync(DEMO_MODEL_FILE, demoModule());
