import { enableCompileCache } from 'node:module';
import { cacheFolder } from './places.ts';

enableCompileCache(cacheFolder());
const { main } = await import('./command/main.ts');
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  // The reader of a pipe may stop early (`| head`); that is no failure of ours.
  if (error.code !== 'EPIPE') throw error;
});
process.exitCode = await main(process.argv.slice(2), {
  stdout: (text) => void process.stdout.write(text),
  stderr: (text) => void process.stderr.write(text),
  live: process.stderr.isTTY ?? false,
});
