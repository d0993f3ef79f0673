// The trade's tables, each with a filter.

import assert from "node:assert/strict";
import { data, only, refused } from "./answers.ts";
import { listBodySizes, listHooks, listStitches, listYarnWeights } from "./evenround/index.ts";
import type { Client } from "./evenround/client/index.ts";

export async function yarnWeights(client: Client): Promise<string> {
  const weight = only((await data(listYarnWeights({ client, query: { name: "aran" } }))).items);
  assert.deepEqual([weight.number, weight.crochet.least, weight.crochet.most], [4, 11, 14]);
  return `aran is ${weight.number}, ${weight.name}`;
}

export async function hooks(client: Client): Promise<string> {
  const hook = only((await data(listHooks({ client, query: { mm: 5.5 } }))).items);
  assert.deepEqual([hook.us, hook.uk, hook.kind], ["I-9", "5", "yarn"]);
  const { items } = await data(listHooks({ client, query: { kind: "steel" } }));
  assert.ok(items.length > 5 && items.every((hook) => hook.kind === "steel"));
  return `5.5 mm is ${hook.us}; ${items.length} of steel`;
}

export async function stitches(client: Client): Promise<string> {
  const stitch = only((await data(listStitches({ client, query: { name: "dc", terms: "uk" } }))).items);
  assert.deepEqual([stitch.name, stitch.us.term, stitch.turning_chain], ["single-crochet", "single crochet", 1]);
  return `UK dc is ${stitch.us.term} in the US`;
}

export async function bodySizes(client: Client): Promise<string> {
  const { items, misprints } = await data(listBodySizes({ client, query: { table: "head" } }));
  const baby = items.find((item) => item.size === "baby" && item.measure === "head circumference" && item.default);
  assert.ok(baby);
  assert.deepEqual([baby.low, baby.high], [{ cm: 35.5, in: 14 }, { cm: 40.5, in: 16 }]);
  assert.ok(items.every((item) => item.table === "head"));
  assert.ok(Array.isArray(misprints));
  const problem = await refused(listBodySizes({ client, query: { table: "heads" } }), 422, "invalid-request");
  assert.equal(problem.errors?.[0]?.parameter, "table");
  return `${items.length} rows about heads; a baby's is ${baby.low.cm} to ${baby.high.cm} cm`;
}
