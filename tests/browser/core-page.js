// The core for tests that ask it without the page: its glue, with every room open.
import init from "./__core__/pkg/riffloom.js";
import { ROOMS, openRoom } from "./__core__/rooms.js";

export * from "./__core__/pkg/riffloom.js";

/** @param {Parameters<typeof init>[0]} how */
export default async function open(how) {
  await init(how);
  await Promise.all(ROOMS.map(openRoom));
}
