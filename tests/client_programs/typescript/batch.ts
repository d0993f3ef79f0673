// Many patterns in one request.

import assert from "node:assert/strict";
import { data } from "./answers.ts";
import { createVerificationBatch } from "./evenround/index.ts";
import type { Client } from "./evenround/client/index.ts";
import { pattern } from "./shelf.ts";

export async function aShelf(client: Client): Promise<string> {
  const body = [
    { id: "mitts", pattern: await pattern("holds/eelgrass-mitts.txt"), terms: "uk" as const },
    { id: 2, pattern: await pattern("faulty/sandpiper-ball.txt") },
    { id: "mislaid", pattern: "Rnd 1: 6 sc in magic ring. (6)", sizes: ["Small", "Small"] },
  ];
  const answer = await data(createVerificationBatch({ client, body }));
  const [holds, slips, refused] = answer.items;
  assert.ok(holds && "holds" in holds);
  assert.deepEqual([holds.index, holds.id, holds.holds], [0, "mitts", true]);
  assert.ok(slips && "holds" in slips);
  assert.deepEqual([slips.id, slips.holds, slips.findings[0]?.rule], [2, false, "count-mismatch"]);
  assert.ok(refused && "problem" in refused);
  assert.deepEqual([refused.index, refused.problem.status], [2, 422]);
  const { items, hold, failed, complete } = answer.summary;
  assert.deepEqual([items, hold, failed, complete], [3, 1, 1, true]);
  return `${hold} of ${items} hold, ${failed} could not be worked`;
}
