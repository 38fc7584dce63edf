// See scripts/bench kills.
import { killed, killedMerging } from "../tests/browser/kills.mjs";

const times = Number(process.argv[2] ?? 30);
console.log(`The browser killed ${times} times while the page saves. Changes, by their numbers:\n`);
const kills = await killed(times);
for (const [index, { said, found }] of kills.entries())
  console.log(`${String(index + 1).padStart(3)}  said to be kept: ${said}  found: ${found}`);
console.log(`\nnothing that was said to be kept was lost in ${kills.length} kills\n`);
console.log(`The same ${times} times while a notebook comes in from a file. Riffs of the file:\n`);
const merges = await killedMerging(times);
for (const [index, { said, found }] of merges.entries())
  console.log(`${String(index + 1).padStart(3)}  ${said ? "said to be kept" : "not yet said"}  found: ${found}`);
const told = merges.filter(({ said }) => said).length;
console.log(`\nnothing that was said to be kept (${told} times) was lost in ${merges.length} kills while merging`);
