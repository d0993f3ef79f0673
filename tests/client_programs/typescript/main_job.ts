// The whole main job through the generated client: node main_job.ts ADDRESS SHELF

import assert from "node:assert/strict";
import { aShelf } from "./batch.ts";
import { createClient, createConfig, type Client } from "./evenround/client/index.ts";
import { aDesign, aDesignFromAPlan, aWrongKey, aYarn, theList } from "./keeping.ts";
import { anotherGauge, anotherYarn, aPlan, aSwatch, longer, onTheWay, theYarn, whatCollides } from "./reckoning.ts";
import { bodySizes, hooks, stitches, yarnWeights } from "./tables.ts";
import { theRules, whatHolds, whatIsMended, whatIsRefused } from "./verifying.ts";

const steps: Record<string, (client: Client) => Promise<string>> = {
  "rules": theRules,
  "a pattern that holds": whatHolds,
  "a pattern that is mended": whatIsMended,
  "a request that does not fit": whatIsRefused,
  "a shelf": aShelf,
  "a swatch": aSwatch,
  "a plan graded": aPlan,
  "a plan that cannot be": whatCollides,
  "yarn": theYarn,
  "another gauge": anotherGauge,
  "a checkpoint": onTheWay,
  "longer": longer,
  "another yarn": anotherYarn,
  "yarn weights": yarnWeights,
  "hooks": hooks,
  "stitches": stitches,
  "body sizes": bodySizes,
  "a yarn kept": aYarn,
  "a design kept": aDesign,
  "a design from a plan": aDesignFromAPlan,
  "the list of designs": theList,
  "a wrong key": aWrongKey,
};

const [, , address] = process.argv;
assert.ok(address, "say where the service is");
const client = createClient(createConfig({ baseUrl: address }));
for (const [name, step] of Object.entries(steps)) {
  console.log(`${name}: ${await step(client)}`);
}
