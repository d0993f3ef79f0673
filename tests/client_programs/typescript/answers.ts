// What every step wants of an answer: its data, or the refusal that was meant to come.

import assert from "node:assert/strict";
import type { ProblemDetails } from "./evenround/index.ts";

/** The generated functions answer with data, or with a refusal. */
interface Answer<Data> {
  data: Data | undefined;
  error: ProblemDetails | undefined;
  response?: Response;
}

/** The data of an answer, and what came with it. */
export interface Told<Data> {
  data: Data;
  headers: Headers;
  status: number;
}

/** What an answer says that must not be a refusal. */
export async function told<Data>(answer: Promise<Answer<Data>>): Promise<Told<Data>> {
  const { data, error, response } = await answer;
  assert.ok(error === undefined, `refused: ${JSON.stringify(error)}`);
  assert.ok(data !== undefined && response, "nothing was answered");
  return { data, headers: response.headers, status: response.status };
}

/** Only the data of it. */
export async function data<Data>(answer: Promise<Answer<Data>>): Promise<Data> {
  return (await told(answer)).data;
}

/** The refusal of what must not be done, of this status and kind. */
export async function refused(answer: Promise<Answer<unknown>>, status: number, kind: string): Promise<ProblemDetails> {
  const { error, response } = await answer;
  assert.ok(error !== undefined && response, "it was not refused");
  assert.equal(response.status, status);
  assert.equal(response.headers.get("content-type"), "application/problem+json");
  assert.equal(error.status, status);
  assert.equal(error.type, `/problems/${kind}`);
  assert.equal(error.request_id, response.headers.get("x-request-id"));
  return error;
}

/** The one item of a list that must have one. */
export function only<Item>(items: readonly Item[]): Item {
  const [item, ...more] = items;
  assert.ok(item !== undefined, "there is none");
  assert.deepEqual(more, [], "there is more than one");
  return item;
}

/** The entity tag that an answer must have. */
export function tag(headers: Headers): string {
  const tag = headers.get("etag");
  assert.ok(tag, "the answer has no ETag");
  return tag;
}
