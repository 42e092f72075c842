const FILES = import.meta.glob<string>('../../../machines/*.yaml', { query: '?raw', import: 'default' });

/** File names of the demo machines, the main one first. */
export const DEMOS: readonly string[] = Object.keys(FILES)
  .map((path) => path.slice(path.lastIndexOf('/') + 1))
  .sort((a, b) => Number(b === 'crush10s.yaml') - Number(a === 'crush10s.yaml') || a.localeCompare(b));

export async function demoText(name: string): Promise<string> {
  const load = FILES[`../../../machines/${name}`];
  if (load === undefined) throw new Error(`${name}: there is no such demo`);
  return load();
}
