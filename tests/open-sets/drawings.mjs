// Writes drawings of icon sets as SVG files: so many of each set, evenly spread over its sorted
// names.
//
//     node drawings.mjs FOLDER COUNT SET.json...

import { mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";

const [folder, count, ...sets] = process.argv.slice(2);
const wanted = Number(count);
if (!folder || !Number.isInteger(wanted) || wanted < 1 || sets.length === 0) {
  console.error("usage: node drawings.mjs FOLDER COUNT SET.json...");
  process.exit(2);
}

rmSync(folder, { recursive: true, force: true });
mkdirSync(folder, { recursive: true });

let written = 0;
for (const path of sets) {
  const set = JSON.parse(readFileSync(path, "utf8"));
  // Without a comparison, sort() goes by code units: the same everywhere.
  const names = Object.keys(set.icons).sort();
  if (names.length < wanted) {
    throw new Error(`${path} has ${names.length} drawings, fewer than ${wanted}`);
  }
  for (let place = 0; place < wanted; place++) {
    const name = names[Math.floor((place * names.length) / wanted)];
    // What a drawing leaves out is said for the whole set, or is the format's default.
    const { body, left, top, width, height } = { left: 0, top: 0, width: 16, height: 16, ...dimensions(set), ...set.icons[name] };
    const svg = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="${left} ${top} ${width} ${height}">${body}</svg>\n`;
    writeFileSync(join(folder, `${set.prefix}-${name}.svg`), svg);
    written++;
  }
}
console.log(`${written} drawings in ${folder}`);

function dimensions(set) {
  return Object.fromEntries(
    ["left", "top", "width", "height"].filter((key) => key in set).map((key) => [key, set[key]]),
  );
}
