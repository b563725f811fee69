import { join } from 'node:path';
import react from '@vitejs/plugin-react';
import { defineConfig, type Plugin } from 'vite';

/** Scripts that are fetched while the page rests are compiled then, not function by function when a place first opens. */
const compiledAtOnce: Plugin = {
  name: 'compiled-at-once',
  enforce: 'post',
  generateBundle(_options, bundle) {
    for (const piece of Object.values(bundle))
      if (piece.type === 'chunk' && /Place$|^draw$|^VirtualTable$|^stretches$/.test(piece.name))
        piece.code = `//# allFunctionsCalledOnLoad\n${piece.code}`;
  },
};

export default defineConfig({
  root: import.meta.dirname,
  base: './',
  plugins: [react(), compiledAtOnce],
  build: {
    outDir: join(import.meta.dirname, '../dist/renderer'),
    emptyOutDir: true,
    target: 'chrome140',
    modulePreload: { polyfill: false },
    // Both hosts forbid data: fonts and inline code; every asset is a file of its own.
    assetsInlineLimit: 0,
    sourcemap: false,
    // The page comes from this computer's disk; the chart library is loaded when the first chart is drawn.
    chunkSizeWarningLimit: 700,
    rolldownOptions: {
      output: {
        codeSplitting: {
          groups: [
            { name: 'echarts', test: /node_modules[\\/](echarts|zrender|tslib)/ },
            { name: 'react', test: /node_modules[\\/](react|react-dom|scheduler)[\\/]/ },
            { name: 'aria', test: /node_modules[\\/](react-aria|react-stately|@react-)/ },
          ],
        },
      },
    },
  },
});
