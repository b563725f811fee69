import { spawnSync } from 'node:child_process';
import { readdirSync } from 'node:fs';
import { join } from 'node:path';

// npm run bench -- [NAME …]: runs the benchmarks whose names begin so, all without a name, one after another. Each
// prints its own figures as ratios against a reference of the same run.
const folder = import.meta.dirname;
const names = process.argv.slice(2);
const files = readdirSync(folder).filter((file) => file.endsWith('.bench.ts'));
const chosen = files.filter((file) => names.length === 0 || names.some((name) => file.startsWith(name)));
if (chosen.length === 0) {
  console.error(`No such benchmark. There are: ${files.map((file) => file.replace('.bench.ts', '')).join(', ')}.`);
  process.exit(2);
}
let worst = 0;
for (const file of chosen) {
  console.log(`\n== ${file.replace('.bench.ts', '')}`);
  worst = Math.max(worst, spawnSync(process.execPath, [join(folder, file)], { stdio: 'inherit' }).status ?? 1);
}
process.exit(worst);
