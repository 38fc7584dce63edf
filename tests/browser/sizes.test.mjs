// What the page weighs: ceilings of our own, so that growth is seen where it happens.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { fileURLToPath } from "node:url";
import { packedSize, pageFiles, roomSizes } from "../../scripts/sizes.mjs";

const root = fileURLToPath(new URL("../..", import.meta.url));
const dist = join(root, "dist");

/** The most bytes up to the first key, and of everything, packed: little more than today. The aim is 200 000 and 420 000. */
const [FIRST_ROOM, EVERYTHING] = [256_200, 1_046_000];

/** A quick build is larger on purpose. */
const isQuick = !readFileSync(join(root, "target/page-built"), "utf8").startsWith("web\n");
const skip = isQuick && "a quick build is larger";

test("what opens the page is small", { skip }, () => {
  const { module, script, style } = /** @type {ReturnType<typeof roomSizes>[0]} */ (roomSizes(dist)[0]);
  assert.ok(module + script + style <= FIRST_ROOM, `${module} module + ${script} script + ${style} style and page`);
});

/** What comes only when somebody turns the microphone on. */
const LISTENING = /^(rooms\/(split_)?listen\.|style\/rooms\/listen\.|workers\/listener\.|audio\/ear\.)/;
/** What was learnt about how notes sound. */
const MODEL = "rooms/listen-model.bin";
/** The most bytes for these, packed. */
const [MOST_LISTENING, MOST_MODEL] = [90_000, 200_000];

/** @param {(name: string) => boolean} is */
const weigh = (is) =>
  pageFiles(dist)
    .filter(is)
    .reduce((sum, name) => sum + packedSize(readFileSync(join(dist, name))), 0);

test("all rooms together are small", { skip }, () => {
  const all = weigh((name) => name !== MODEL && !LISTENING.test(name));
  assert.ok(all <= EVERYTHING, `${all} bytes`);
});

test("the room that listens is small, and so is what it learnt", { skip }, () => {
  const [room, model] = [weigh((name) => LISTENING.test(name)), weigh((name) => name === MODEL)];
  assert.ok(room > 0 && model > 0, "the room is not where it is looked for");
  assert.ok(room <= MOST_LISTENING && model <= MOST_MODEL, `${room} room + ${model} model`);
});
