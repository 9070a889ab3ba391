import { defineConfig } from 'vite'

/** The screens: bundled whole, no address outside the machine is ever asked. */
export default defineConfig({
  root: 'web',
  base: '/',
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  build: {
    outDir: '../dist/web',
    emptyOutDir: true,
    target: 'es2022',
    sourcemap: false,
    rolldownOptions: { input: ['web/index.html', 'web/viewer.html'] },
  },
  server: {
    proxy: { '/api': 'http://127.0.0.1:7340', '/socket.io': { target: 'http://127.0.0.1:7340', ws: true } },
  },
})
