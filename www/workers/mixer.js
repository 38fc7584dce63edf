// Makes files of sound, and finds the gain that the music needs, with an instance of the core of its own: the page
// never waits for it. Whoever has changed their mind ends the worker.
import init, { App } from "../pkg/riffloom.js";
import { openSent } from "../rooms.js";
import { answers } from "../answers.js";

/**
 * What is to be mixed.
 * @typedef {object} Job
 * @property {import("../rooms.js").Building} building the core and the rooms that mixing needs
 * @property {"file" | "gain"} wants
 * @property {import("../pkg/riffloom.js").RecordView[]} records of the tune, the riff and the chorus
 * @property {number[]} looped the bars that are looped, or none
 * @property {import("../pkg/riffloom.js").Heard} what
 * @property {number} choruses
 * @property {number} countIn bars
 * @property {number} rate frames a second
 */

answers(async (/** @type {Job} */ job) => {
  await init({ module_or_path: job.building.core });
  await openSent(job.building);
  const app = new App(job.records, "0123456789abcdef");
  const [from, to] = job.looped;
  if (from !== undefined && to !== undefined) app.takeLoop(job.what, from, to);
  const mixing = app.mixing(job.what, job.choruses, job.countIn, job.rate);
  app.free();
  if (job.wants === "gain") {
    self.postMessage({ gain: mixing.gain() });
    return;
  }
  self.postMessage({ bytes: mixing.header(), progress: 0 });
  for (let bytes = mixing.step(); bytes; bytes = mixing.step()) {
    self.postMessage({ bytes, progress: mixing.progress() }, { transfer: [bytes.buffer] });
  }
  mixing.free();
  self.postMessage({ over: true });
});
