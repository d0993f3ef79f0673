// A pattern that holds, and one that is mended by the fix that is offered.

import assert from "node:assert/strict";
import { data, only, refused } from "./answers.ts";
import { createVerification, getRule, listRules, type Fix, type SizeCount, type Verification } from "./evenround/index.ts";
import type { Client } from "./evenround/client/index.ts";
import { pattern } from "./shelf.ts";

/** What a row makes in each size; `null` where a size does not work it. */
export function made(verification: Verification, label: string): (number | null)[] {
  const row = verification.pieces.flatMap((piece) => piece.rows).find((row) => row.label === label);
  assert.ok(row, `there is no ${label}`);
  return row.counts.map((count: SizeCount | null) => count?.made ?? null);
}

/** A text with a fix put in. Places are counted in bytes of UTF-8, and later ones come first, so that no edit moves another. */
function mended(text: string, fix: Fix): string {
  let bytes = Buffer.from(text, "utf8");
  for (const edit of [...fix.edits].sort((one, other) => other.start - one.start)) {
    bytes = Buffer.concat([bytes.subarray(0, edit.start), Buffer.from(edit.text, "utf8"), bytes.subarray(edit.end)]);
  }
  return bytes.toString("utf8");
}

export async function whatHolds(client: Client): Promise<string> {
  const text = await pattern("holds/eelgrass-mitts.txt");
  const answer = await data(createVerification({ client, body: { pattern: text, terms: "uk" } }));
  assert.equal(answer.holds, true);
  assert.equal(answer.terms, "uk");
  assert.deepEqual(answer.sizes, ["Child", "Small", "Medium", "Large"]);
  assert.deepEqual(answer.coverage, { rows: 14, read: 14, partial: 0, unread: 0 });
  assert.deepEqual(answer.findings, []);
  assert.deepEqual(made(answer, "8th round"), [28, 32, 36, 40]);
  assert.deepEqual(made(answer, "11th round"), [null, null, 36, 40]);
  return `${answer.coverage.rows} rows hold in ${answer.sizes.join(", ")}`;
}

export async function whatIsMended(client: Client): Promise<string> {
  const text = await pattern("faulty/sandpiper-ball.txt");
  const before = await data(createVerification({ client, body: { pattern: text } }));
  assert.equal(before.holds, false);
  const finding = only(before.findings);
  assert.equal(finding.rule, "count-mismatch");
  assert.equal(finding.severity, "error");
  assert.equal(finding.row, "Rnd 7");
  assert.deepEqual([finding.expected, finding.actual, finding.suspect], [44, 42, "count"]);
  assert.deepEqual([finding.span.line, finding.span.column], [22, 53]);
  assert.equal(Buffer.from(text, "utf8").subarray(finding.span.start, finding.span.end).toString("utf8"), "44");
  const [fix] = finding.fixes;
  assert.ok(fix, "no fix is offered");
  const after = await data(createVerification({ client, body: { pattern: mended(text, fix) } }));
  assert.equal(after.holds, true);
  assert.deepEqual(after.findings, []);
  const page = await data(getRule({ client, path: { name: finding.rule } }));
  assert.equal(page.link, finding.help);
  assert.deepEqual([page.fails.holds, page.repaired.holds], [false, true]);
  return `${finding.row}: ${fix.message}, and then it holds`;
}

export async function whatIsRefused(client: Client): Promise<string> {
  const body = { pattern: "Rnd 1: 6 sc in magic ring. (6)", sizes: [], gauge: { stitches: 0, over: { in: 4 } } };
  const problem = await refused(createVerification({ client, body }), 422, "invalid-request");
  const places = (problem.errors ?? []).map((error) => error.pointer);
  assert.deepEqual(places.sort(), ["/gauge/stitches", "/sizes"]);
  return `${problem.title}: ${places.join(", ")}`;
}

export async function theRules(client: Client): Promise<string> {
  const { items, next } = await data(listRules({ client }));
  assert.equal(next, null);
  const named = new Map(items.map((rule) => [rule.name, rule.severity]));
  assert.equal(named.get("count-mismatch"), "error");
  assert.equal(named.size, items.length);
  return `${items.length} rules`;
}
