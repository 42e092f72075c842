#!/usr/bin/env node
import { existsSync } from 'node:fs';

// Only a working copy has sources and a builder; an installed package has dist/ alone.
const isWorkingCopy = ['../src/cli/main.ts', '../scripts/ensure-build.mjs'].every((path) => existsSync(new URL(path, import.meta.url)));

if (isWorkingCopy) {
  const { ensureBuild } = await import('../scripts/ensure-build.mjs');
  try {
    ensureBuild();
  } catch (error) {
    process.stderr.write(`${error.message}\n`);
    process.exit(1);
  }
}
await import('../dist/main.mjs');
