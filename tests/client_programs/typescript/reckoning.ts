// Gauge, grading and yarn.

import assert from "node:assert/strict";
import { data, only, refused } from "./answers.ts";
import {
  convertGauge, createVerification, estimateYarn, gradeDesign, judgeCheckpoint, lengthenPiece, measureGauge,
  substituteYarn, type GradingRequest,
} from "./evenround/index.ts";
import type { Client } from "./evenround/client/index.ts";
import { pattern, plan } from "./shelf.ts";
import { made } from "./verifying.ts";

export async function aSwatch(client: Client): Promise<string> {
  const answer = await data(measureGauge({
    client,
    body: {
      stitch: "hdc", worked: "rounds", washed: true,
      readings: [
        { stitches: 13, rows: 10, over: { in: 4 } },
        { stitches: 26.5, width: { in: 8 }, rows: 15, height: { in: 6 } },
      ],
    },
  }));
  assert.deepEqual(answer.gauge.stitches, { value: 13.17, low: 12.59, high: 13.75 });
  assert.deepEqual(answer.gauge.rows, { value: 10, low: 9.58, high: 10.42 });
  assert.deepEqual([answer.flat_circle?.whole, answer.flat_circle?.effect], [8, "flat"]);
  assert.deepEqual(answer.fits_yarn_weights, [3, 4]);
  return `${answer.gauge.stitches.value} stitches to ${answer.gauge.over.in} in`;
}

export async function aPlan(client: Client): Promise<string> {
  const graded = await data(gradeDesign({ client, body: await plan("eelgrass-mitts.json") }));
  assert.equal(graded.verification.holds, true);
  const names = ["baby", "toddler", "child", "woman", "man"];
  assert.deepEqual(graded.sizes.map((size) => size.name), names);
  const cuffs = graded.sizes.map((size) => size.sections[0]?.stitches.end);
  assert.deepEqual(cuffs, [14, 19, 23, 27, 33]);
  const again = await data(createVerification({ client, body: { pattern: graded.pattern, terms: "us" } }));
  assert.equal(again.holds, true);
  assert.deepEqual(again.sizes, names);
  assert.deepEqual(made(again, "Rnd 1"), cuffs);
  const width = graded.sizes[0]?.sections[0]?.finished["circumference"];
  assert.ok(width && Math.abs(width.cm - width.in * 2.54) < 0.01);
  return `${names.length} sizes, each verified: ${cuffs.join(", ")} stitches at the cuff`;
}

/** Two sections that must meet with equal counts and want measures that are far apart. */
const collides: GradingRequest = {
  title: "Samphire Tube",
  gauge: { stitch: "sc", stitches: 16, rows: 18, over: { in: 4 } },
  sizes: [{ name: "Only", measures: { head: { in: 20 }, brim: { in: 30 } } }],
  pieces: [{
    name: "Tube", worked: "joined-rounds", start: "chain",
    sections: [
      { name: "Band", shape: "even", circumference: { of: "head" }, length: { in: 2 } },
      { name: "Brim", shape: "even", joins: "equal", circumference: { of: "brim", ease: { percent: 0 } }, length: { in: 2 } },
    ],
  }],
};

export async function whatCollides(client: Client): Promise<string> {
  const problem = await refused(gradeDesign({ client, body: collides }), 422, "invalid-request");
  const error = problem.errors?.find((error) => error.collides_with !== undefined);
  assert.ok(error?.pointer);
  assert.ok(error.pointer.startsWith("/pieces/0/sections/"));
  return `${error.pointer} collides with ${error.collides_with}`;
}

export async function theYarn(client: Client): Promise<string> {
  const ball = { length: { m: 170 }, weight: { g: 100 } };
  const answer = await data(estimateYarn({
    client,
    body: {
      pattern: await pattern("holds/tidepool-coaster.txt"),
      yarns: [{ colour: "A", yarn_weight: 4, ball }, { colour: "B", yarn_weight: 4, ball }],
      evidence: { swatches: [{ stitches: { ch: 21, hdc: 400 }, used: { g: 19.9 }, step: { g: 0.1 } }] },
      extras: [{ kind: "pom-pom", colour: "A", across: { cm: 6 }, wraps: 120 }],
    },
  }));
  assert.equal(answer.basis, "one-swatch");
  const size = only(answer.sizes);
  assert.deepEqual(size.colours.map((colour) => colour.colour), ["A", "B"]);
  const [first, second] = size.colours;
  assert.ok(first?.length && second?.length);
  // Counted by hand; a pom-pom is no stitch.
  assert.deepEqual(first.stitches, { ch: 12, join: 5, sc: 140, sc2tog: 10, dc: 34 });
  assert.deepEqual(second.stitches, { ch: 8, join: 6, sc: 244, hdc: 20, dc: 67 });
  assert.ok(first.length.low.m < first.length.likely.m && first.length.likely.m < first.length.high.m);
  assert.equal(first.balls, 1);
  return `${first.length.likely.m} m of A, ${second.length.likely.m} m of B`;
}

export async function anotherGauge(client: Client): Promise<string> {
  const answer = await data(convertGauge({
    client,
    body: {
      pattern_gauge: { stitches: 13, rows: 10, over: { in: 4 } },
      own_gauge: { stitches: 14, rows: 10.5, over: { in: 4 } },
      hook: { mm: 5 }, multiple: { of: 4 }, wanted: { in: 21 },
      sizes: [{ name: "Small", stitches: 68, rows: 20 }, { name: "Medium", stitches: 72, rows: 21 }],
    },
  }));
  assert.equal(answer.follow?.name, "Medium");
  assert.deepEqual([answer.sizes[0]?.same_size.stitches, answer.sizes[0]?.same_size.rows], [72, 21]);
  assert.deepEqual(answer.hook_advice.try, { mm: 5.5, us: "I-9" });
  return `follow ${answer.follow.name}`;
}

export async function onTheWay(client: Client): Promise<string> {
  const answer = await data(judgeCheckpoint({
    client,
    body: { expected: { in: 6.5 }, measured: { in: 6 }, measured_as: "across", hook: { mm: 4 }, finished: { in: 19 } },
  }));
  assert.deepEqual([answer.verdict, answer.difference_percent], ["small", -7.7]);
  assert.deepEqual([answer.hook_advice.direction, answer.hook_advice.try?.mm], ["up", 4.5]);
  assert.equal(answer.finished_if_you_go_on?.in, 17.54);
  return `${answer.verdict}: ${answer.difference_percent} %`;
}

export async function longer(client: Client): Promise<string> {
  const answer = await data(lengthenPiece({
    client,
    body: {
      gauge: { rows: 16, over: { cm: 10 }, worked: "rounds" }, worked: "rounds",
      repeat: { rows: 2, stitches_per_row: [28, 32] }, more: 2, ball: { weight: { g: 25 } },
      sizes: [
        { name: "Child", rows: 16, repeats: 1, stitches: 480, length: { cm: 9 }, used: { g: 38 } },
        { name: "Small", rows: 16, repeats: 1, stitches: 542, length: { cm: 9 }, used: { g: 43 } },
      ],
    },
  }));
  const after = answer.sizes[1]?.change.after;
  assert.ok(after?.yarn && "g" in after.yarn, "yarn that was weighed is answered by weight");
  assert.deepEqual([after.rows, after.stitches, after.yarn.g, after.balls], [20, 670, 53.15, 3]);
  return `Small: ${after.rows} rounds and ${after.yarn.g} g`;
}

export async function anotherYarn(client: Client): Promise<string> {
  const answer = await data(substituteYarn({
    client,
    body: {
      design: { ball: { length: { m: 170 }, weight: { g: 100 } }, yarn_weight: 4, single_crochet_over_4_in: 13 },
      sizes: [{ name: "Child", yarn: { m: 96 } }],
      substitute: { ball: { length: { m: 175 }, weight: { g: 50 } }, yarn_weight: 2 },
    },
  }));
  const child = only(answer.sizes);
  assert.deepEqual([answer.strands, child.balls, child.length?.m], [2, 2, 192]);
  return `${answer.strands} strands, ${child.balls} balls`;
}
