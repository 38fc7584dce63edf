// Three kills of the browser while the page saves, and three while a file comes in; scripts/bench kills does thirty of each.
import assert from "node:assert/strict";
import { test } from "node:test";
import { killed, killedMerging } from "./kills.mjs";

test("what was said to be kept is there after the browser was killed", { timeout: 180_000 }, async () => {
  const kills = await killed(3);
  assert.ok(
    kills.some(({ said }) => said > 0),
    "nothing was ever said to be kept",
  );
});

test("so it is while a notebook comes in from a file", { timeout: 180_000 }, async () => {
  const kills = await killedMerging(3);
  assert.equal(kills.length, 3);
});
