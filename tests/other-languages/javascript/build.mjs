// Makes motif-line.wasm: the step, with a JavaScript engine that has nothing but the contract.
//
//     node build.mjs FOLDER-OF-THE-CONTRACT OUTPUT

import { componentize } from '@bytecodealliance/componentize-js';
import { writeFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';

const [wit, output] = process.argv.slice(2);
const { component, imports } = await componentize({
  sourcePath: fileURLToPath(new URL('motif-line.js', import.meta.url)),
  witPath: wit,
  worldName: 'object-plugin',
  // Without all of these the engine would ask for the system's files, clock, and so on.
  disableFeatures: ['stdio', 'random', 'clocks', 'http', 'fetch-event'],
});
await writeFile(output, component);
console.log(`${output}: ${component.length} bytes; it imports ${JSON.stringify(imports)}`);
