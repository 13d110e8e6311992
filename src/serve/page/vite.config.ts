import {defineConfig} from 'vite';

// File names without a hash: the same source gives the same files, and the program that embeds them sends no-store.
export default defineConfig({
  base: './',
  esbuild: {jsx: 'automatic', jsxImportSource: 'preact'},
  build: {
    target: 'es2020',
    modulePreload: false,
    assetsInlineLimit: 0,
    chunkSizeWarningLimit: 700,
    rollupOptions: {
      output: {entryFileNames: 'page.js', chunkFileNames: '[name].js', assetFileNames: '[name][extname]'},
    },
  },
});
