import type { Services } from './services.ts';

/** Asks on the terminal; undefined where nobody sits at one. */
export function terminalPrompt(): Services['prompt'] {
  if (!process.stdin.isTTY || !process.stdout.isTTY) return undefined;
  return async (question) => {
    const { createInterface } = await import('node:readline');
    const lines = createInterface({ input: process.stdin, output: process.stdout });
    try {
      return await new Promise((answer) => {
        lines.once('close', () => answer(undefined));
        lines.question(question, answer);
      });
    } finally {
      lines.close();
    }
  };
}
