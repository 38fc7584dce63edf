// Three kills of the browser while the page saves; scripts/bench kills does thirty.
import assert from "node:assert/strict";
import { test } from "node:test";
import { killed } from "./kills.mjs";

test("what was said to be kept is there after the browser was killed", { timeout: 180_000 }, async () => {
  const kills = await killed(3);
  assert.ok(
    kills.some(({ said }) => said > 0),
    "nothing was ever said to be kept",
  );
});
