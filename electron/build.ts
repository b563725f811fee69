import { readdir, rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { rolldown } from 'rolldown';

const root = join(import.meta.dirname, '..');
const dir = join(root, 'dist/electron');
/** Native and data-carrying packages stay in node_modules; electron itself is given by the runtime. */
const external = ['electron', 'better-sqlite3', 'pdfmake', 'highs', /^@expo-google-fonts\//];
await rm(dir, { recursive: true, force: true });

const main = await rolldown({
  input: { main: join(root, 'electron/main.ts'), 'core-worker': join(root, 'electron/core-worker.ts') },
  platform: 'node',
  external,
});
await main.write({ dir, format: 'esm', sourcemap: true, chunkFileNames: '[name].js' });
await main.close();

// A sandboxed preload is loaded as one CommonJS file and may require little more than 'electron'.
const preload = await rolldown({ input: join(root, 'electron/preload.ts'), platform: 'node', external: ['electron'] });
const { output } = await preload.write({ dir, format: 'cjs', entryFileNames: '[name].cjs', codeSplitting: false });
await preload.close();
for (const name of output[0].imports) if (name !== 'electron') throw new Error(`preload may not import ${name}`);

for (const file of await readdir(dir))
  if (!file.endsWith('.map'))
    console.log(`  ${file.padEnd(24)} ${Math.ceil((await stat(join(dir, file))).size / 1024)} KiB`);
