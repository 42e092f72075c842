import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { defineConfig, type Plugin } from 'vite';

const { version } = JSON.parse(readFileSync(new URL('./package.json', import.meta.url), 'utf8')) as { version: string };

/** Writes the list of the page's files into its service worker: one cache for one build, thrown away with it. */
function offline(): Plugin {
  return {
    name: 'offline',
    enforce: 'post',
    generateBundle(_options, bundle) {
      const files = Object.keys(bundle).filter((name) => name !== 'offline.js').sort();
      const hash = createHash('sha256');
      for (const name of files) {
        const file = bundle[name];
        hash.update(name).update(file?.type === 'asset' ? file.source : (file?.code ?? ''));
      }
      const text = readFileSync(new URL('./src/page/offline.js', import.meta.url), 'utf8');
      const list = JSON.stringify(['./', ...readdirSync(new URL('./src/page/public/', import.meta.url)), ...files]);
      this.emitFile({ type: 'asset', fileName: 'offline.js', source: text.replace('__CACHE__', `ampwright-${hash.digest('hex').slice(0, 16)}`).replace('[/* files */]', list) });
    },
  };
}

/** The static page: hashed files, no address of another host, any folder of any web server. */
export default defineConfig({
  root: 'src/page',
  base: './',
  define: { __VERSION__: JSON.stringify(version) },
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  build: {
    outDir: '../../dist/page',
    emptyOutDir: true,
    target: 'es2022',
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    // Layout of the drawing is one library of 1.4 MB, loaded in its own worker when the drawing is first shown.
    chunkSizeWarningLimit: 1700,
  },
  worker: { format: 'es' },
  plugins: [offline()],
});
