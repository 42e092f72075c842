/** Version of the program, put in by the build. */
declare const __VERSION__: string;

interface ImportMeta {
  glob<T>(pattern: string, options: { readonly query: string; readonly import: string }): Record<string, () => Promise<T>>;
}
