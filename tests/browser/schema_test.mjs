// SPDX-License-Identifier: GPL-3.0-or-later
// The JSON of the sample reports against src/report/review.schema.json, by an independent validator.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { test } from "node:test";

const Ajv = createRequire(import.meta.url)("ajv");
const load = (path) => JSON.parse(readFileSync(path, "utf8"));
const validate = new Ajv({ allErrors: true, strict: false }).compile(load(process.env.BASEFOG_SCHEMA));
const sample = () => load(`${process.env.BASEFOG_REPORTS}/sample.json`);

for (const name of ["sample", "nolog", "colour", "empty"]) {
  test(`${name}.json is valid`, () => {
    assert.ok(validate(load(`${process.env.BASEFOG_REPORTS}/${name}.json`)), JSON.stringify(validate.errors));
  });
}

const spoiled = {
  "an unknown name": (json) => { json.frames[1].extra = 1; },
  "a missing state": (json) => { delete json.frames[1].state; },
  "a null instead of nothing": (json) => { json.frames[1].exposure = null; },
  "an interval with no end": (json) => { json.frames[1].exposure.ci95 = [null, null]; },
  "an interval of three": (json) => { json.frames[1].exposure.ci95 = [0, 1, 2]; },
  "a verdict without a correction": (json) => { delete json.frames[1].correction; },
  "another schema": (json) => { json.schema = "basefog.review/2"; },
};
for (const [what, spoil] of Object.entries(spoiled)) {
  test(`${what} is refused`, () => {
    const json = sample();
    spoil(json);
    assert.ok(!validate(json));
  });
}
