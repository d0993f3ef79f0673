// What is kept: a yarn, and a design through all that may happen to it.

import assert from "node:assert/strict";
import { randomUUID } from "node:crypto";
import { data, only, refused, tag, told } from "./answers.ts";
import {
  compareRevisions, createDesign, createReport, createYarn, deleteYarn, estimateYarn, getChart, getCounts, getDesign,
  getPattern, getRevision, getYarn, listDesigns, listPublished, listReports, listRevisions, listYarns, publishDesign,
  replaceDesign, replaceYarn, restoreRevision, retireDesign, unpublishDesign,
  type DesignRequest, type ReplaceDesignErrors, type ReplaceDesignResponses,
} from "./evenround/index.ts";
import { createClient, createConfig, type Client } from "./evenround/client/index.ts";
import { plan } from "./shelf.ts";

export async function aYarn(client: Client): Promise<string> {
  const body = { name: "Eelgrass Worsted", ball: { length: { m: 170 }, weight: { g: 100 } }, yarn_weight: 1 };
  const headers = { "Idempotency-Key": randomUUID() };
  const made = await told(createYarn({ client, body, headers }));
  assert.equal(made.status, 201);
  assert.equal(made.headers.get("location"), `/v1/yarns/${made.data.id}`);
  assert.deepEqual(made.data.ball, { length: { m: 170, yd: 185.91 }, weight: { g: 100, oz: 3.527 } });
  assert.ok(made.data.label.notes.length > 0, "170 m in 100 g is thick for a weight 1");
  assert.equal((await data(createYarn({ client, body, headers }))).id, made.data.id, "sent twice, it is kept once");
  const path = { id: made.data.id };
  const changed = await data(replaceYarn({ client, path, body: { ...body, yarn_weight: 4 }, headers: { "If-Match": tag(made.headers) } }));
  assert.deepEqual([changed.yarn_weight, changed.label.notes], [4, []]);
  await refused(replaceYarn({ client, path, body, headers: { "If-Match": tag(made.headers) } }), 412, "stale");
  assert.equal(only((await data(listYarns({ client, query: { yarn_weight: 4 } }))).items).id, made.data.id);
  assert.equal((await told(deleteYarn({ client, path }))).status, 204);
  await refused(getYarn({ client, path }), 404, "not-found");
  return `${changed.name}, kept, changed and removed`;
}

/** A cap of three rounds in two sizes. */
function cap(last: string): string {
  return [
    "Wigeon Cap", "Sizes: Small (Large)", "", "Cap", "Rnd 1: 6 (8) sc in magic ring. 6 (8) sc.",
    "Rnd 2: 2 sc in each st around. 12 (16) sc.", `Rnd 3: ${last}`, "",
  ].join("\n");
}

export async function aDesign(client: Client): Promise<string> {
  const gauge = { stitches: 18, rows: 20, over: { in: 4 } };
  const first: DesignRequest = { title: "Wigeon Cap", pattern: cap("Sc in each st around. 12 (16) sc."), gauge };
  const second: DesignRequest = {
    ...first, pattern: cap("*Sc in next st, 2 sc in next st; rep from * around. 18 (24) sc."),
  };

  // Sent twice, kept once; the same key for another design is refused.
  const headers = { "Idempotency-Key": randomUUID() };
  const made = await told(createDesign({ client, body: first, headers }));
  assert.equal(made.status, 201);
  const path = { id: made.data.id };
  assert.equal((await data(createDesign({ client, body: first, headers }))).id, path.id);
  await refused(createDesign({ client, body: second, headers }), 422, "idempotency-key-used");

  // Read with its tag, and not sent again to who has it.
  const read = await told(getDesign({ client, path }));
  assert.deepEqual([read.data.revision, read.data.pattern, read.data.gauge], [1, first.pattern, gauge]);
  const unchanged = await getDesign({ client, path, headers: { "If-None-Match": tag(read.headers) } });
  assert.equal(unchanged.response?.status, 304);

  // Changed only by who has seen it.
  const ifSeen = { "If-Match": tag(read.headers) };
  const changed = await told(replaceDesign({ client, path, body: second, headers: ifSeen }));
  assert.deepEqual([changed.data.revision, changed.data.pattern], [2, second.pattern]);
  await refused(replaceDesign({ client, path, body: first, headers: ifSeen }), 412, "stale");
  // The generated function does not let the header be forgotten, so this goes around it.
  const forgotten = client.put<ReplaceDesignResponses, ReplaceDesignErrors>({ url: "/v1/designs/{id}", path, body: first });
  await refused(forgotten, 428, "if-match-needed");

  const revisions = await data(listRevisions({ client, path }));
  assert.deepEqual(revisions.items.map((item) => item.revision), [2, 1]);
  assert.equal((await data(getRevision({ client, path: { ...path, n: 1 } }))).pattern, first.pattern);

  // What changed, as data, and for a maker who is past it.
  const changes = await data(compareRevisions({ client, path, query: { from: 1, to: 2, size: "Large", row: 3 } }));
  assert.ok(typeof changes !== "string");
  const row = changes.sizes.find((size) => size.size === "Large")?.rows[0];
  assert.deepEqual([row?.kind, row?.before?.made, row?.now?.made], ["work", 16, 24]);
  assert.deepEqual([changes.affected?.affected, changes.affected?.back_to], [true, "Rnd 2"]);

  // Published: its counts are open to everybody.
  const published = await data(publishDesign({ client, path, body: { slug: "wigeon-cap" } }));
  assert.deepEqual([published.published?.slug, published.published?.revision], ["wigeon-cap", 2]);
  const counts = await data(getCounts({ client, path: { id: "wigeon-cap" } }));
  assert.equal(counts.id, path.id);
  assert.deepEqual(counts.sizes, ["Small", "Large"]);
  const last = counts.pieces[0]?.rows.at(-1);
  assert.deepEqual(last?.counts.map((count) => count?.stitches), [18, 24]);
  assert.ok((await data(listPublished({ client }))).items.some((item) => item.slug === "wigeon-cap"));
  assert.match(await data(getPattern({ client, path, query: { size: "Large" } })), /24 sc/);
  const chart = await told(getChart({ client, path, query: { size: "Small", hand: "left" } }));
  assert.equal(chart.headers.get("content-type"), "image/svg+xml");

  // A tester's report, which the estimate of the yarn goes by.
  const report = await data(createReport({ client, path, body: { size: "Small", used: [{ yarn: { m: 21.5 } }] } }));
  const reports = await data(listReports({ client, path }));
  assert.deepEqual(only(reports.items), report);
  assert.deepEqual(report.used, [{ yarn: { m: 21.5 } }]);
  const yarn = await data(estimateYarn({ client, body: { design: path } }));
  assert.equal(yarn.basis, "reports");

  const restored = await told(restoreRevision({
    client, path: { ...path, n: 1 }, headers: { "If-Match": tag((await told(getDesign({ client, path }))).headers) },
  }));
  assert.deepEqual([restored.data.revision, restored.data.pattern], [3, first.pattern]);
  const hidden = await told(unpublishDesign({ client, path, headers: { "If-Match": tag(restored.headers) } }));
  assert.equal(hidden.data.published, undefined);
  await refused(getCounts({ client, path: { id: "wigeon-cap" } }), 404, "not-found");
  const retired = await told(retireDesign({ client, path, headers: { "If-Match": tag(hidden.headers) } }));
  assert.equal(retired.status, 204);
  assert.ok((await data(listDesigns({ client, query: { retired: "yes" } }))).items.some((item) => item.id === path.id));
  return `${made.data.title}: 3 revisions, published, reported on, retired`;
}

/** What was sent is what is read, so that it can be changed and sent back. */
export async function aDesignFromAPlan(client: Client): Promise<string> {
  const body: DesignRequest = {
    title: "Eelgrass Mitts, again",
    plan: await plan("eelgrass-mitts.json"),
    evidence: { sample: { size: "child", used: { m: 61.5 } } },
  };
  const path = { id: (await data(createDesign({ client, body }))).id };
  const { data: read, headers } = await told(getDesign({ client, path }));
  assert.deepEqual([read.plan, read.evidence], [body.plan, body.evidence]);
  assert.ok(read.plan && read.graded_pattern?.startsWith("Eelgrass Mitts"));
  const sentBack: DesignRequest = { title: read.title, plan: read.plan };
  const changed = await data(replaceDesign({ client, path, body: sentBack, headers: { "If-Match": tag(headers) } }));
  assert.equal(changed.graded_pattern, read.graded_pattern);
  return `revision ${changed.revision} grades as revision ${read.revision} did`;
}

export async function aWrongKey(client: Client): Promise<string> {
  const stranger = createClient(createConfig({ ...client.getConfig(), auth: "nobody" }));
  return (await refused(listDesigns({ client: stranger }), 401, "key-refused")).title;
}

export async function theList(client: Client): Promise<string> {
  const seen: string[] = [];
  let pages = 0;
  // `next` is the address of the next page; a generated function wants the cursor in it.
  for (let cursor: string | null | undefined; cursor !== null; pages += 1) {
    const page = await data(listDesigns({ client, query: { limit: 2, ...(cursor === undefined ? {} : { cursor }) } }));
    seen.push(...page.items.map((item) => item.title));
    cursor = page.next === null ? null : new URL(page.next, "http://list").searchParams.get("cursor");
  }
  assert.equal(new Set(seen).size, seen.length, "a design came twice");
  assert.ok(seen.includes("Curlew Cap") && seen.length > 2);
  assert.equal(pages, Math.ceil(seen.length / 2));
  return `${seen.length} designs on ${pages} pages`;
}
