// A new key: the riff stays where it is, and one tap in the message line moves it along.
import assert from "node:assert/strict";
import { browserTest } from "./lib.mjs";
import { pageReady } from "./page.mjs";
import { notesOnStrip } from "./riff-page.mjs";

browserTest("one tap moves the riff to the new key, one step brings it back", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  const pitches = async () => (await notesOnStrip(page)).map((label) => label?.split(",")[0]);
  const before = ["G 4", "B flat 4", "G 4", "C 5", "B flat 4", "G 4"];
  assert.deepEqual(await pitches(), before);

  await page.getByRole("button", { name: /^Key:/ }).click();
  await page.locator('[data-value="A"]').click();
  await page.keyboard.press("Escape");
  const message = page.locator("#message");
  assert.match((await message.textContent()) ?? "", /“Salt wind” is in G\. You are now in A/);
  assert.deepEqual(await pitches(), before, "nothing moves unasked");

  await message.getByRole("button", { name: "Move it to A" }).click();
  // A whole step higher on a keyboard.
  assert.deepEqual(await pitches(), ["A 4", "C 5", "A 4", "D 5", "C 5", "A 4"]);
  await message.getByRole("button", { name: "Undo" }).click();
  assert.deepEqual(await pitches(), before);
  // Whoever let the message go finds it where the key is chosen.
  await page.getByRole("button", { name: /^Key:/ }).click();
  await page.getByRole("button", { name: "Move “Salt wind” from G to A" }).click();
  assert.deepEqual(await pitches(), ["A 4", "C 5", "A 4", "D 5", "C 5", "A 4"]);
});

browserTest(
  "on a phone the offer is still there when the sentence is folded",
  { context: { viewport: { width: 390, height: 844 }, hasTouch: true } },
  async ({ page, site }) => {
    await page.goto(site.address);
    await pageReady(page);
    await page.locator("#brief").click();
    await page.getByRole("button", { name: /^Key:/ }).click();
    await page.locator('[data-value="A"]').click();
    await page.keyboard.press("Escape");
    if ((await page.locator("#brief").getAttribute("aria-expanded")) === "true") await page.locator("#brief").click();
    await page.locator("#message").getByRole("button", { name: "Move it to A" }).click();
    assert.equal((await notesOnStrip(page))[0]?.split(",")[0], "A 4");
  },
);
