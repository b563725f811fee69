import { join } from 'node:path';
import react from '@vitejs/plugin-react';
import { defineConfig } from 'vite';

export default defineConfig({
  root: import.meta.dirname,
  base: './',
  plugins: [react()],
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
