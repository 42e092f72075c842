/** What a dedicated worker is to the code in it; the page's types describe a window. */
export interface WorkerScope {
  postMessage(message: unknown): void;
  onmessage: ((event: { readonly data: unknown }) => void) | null;
}

export const scope = globalThis as unknown as WorkerScope;

/** Lets messages that have come meanwhile be read. */
export function breath(): Promise<void> {
  return new Promise((goOn) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = () => {
      port1.close();
      goOn();
    };
    port2.postMessage(undefined);
  });
}
