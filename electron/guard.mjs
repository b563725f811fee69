// Plain JavaScript, so that any Node can read it and say what is missing instead of failing on the first .ts file.
const wanted = [24, 15];
const have = process.versions.node.split('.').map(Number);
if (have[0] < wanted[0] || (have[0] === wanted[0] && have[1] < wanted[1])) {
  console.error(
    `Cable Yearbook needs Node ${wanted.join('.')} or newer; this is ${process.versions.node}. Run 'npm ci' (Linux brings its own), or install Node 24.`,
  );
  process.exit(2);
}
