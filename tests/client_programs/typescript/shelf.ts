// The patterns and plans that the program is asked about.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import type { GradingRequest } from "./evenround/index.ts";

const shelf = process.argv[3];
assert.ok(shelf, "say where the patterns are");

/** The text of a pattern. */
export function pattern(name: string): Promise<string> {
  return readFile(`${shelf}/${name}`, "utf8");
}

/** A plan. What a file holds is the service's to judge, so it is taken at its word. */
export async function plan(name: string): Promise<GradingRequest> {
  return JSON.parse(await readFile(`${shelf}/plans/${name}`, "utf8"));
}
