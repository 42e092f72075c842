/** A file on disk behind the page, served by `ampwright open`. */
export interface DiskFile {
  readonly name: string;
  readonly text: string;
  readonly version: string;
}

export type WriteResult = { readonly outcome: 'written'; readonly version: string } | { readonly outcome: 'changed meanwhile'; readonly file: DiskFile } | { readonly outcome: 'refused'; readonly why: string };

/** The token in the page's own address; undefined for the static page. */
export function tokenOf(address: string): string | undefined {
  return new URL(address).searchParams.get('token') ?? undefined;
}

/** Speaks with the little server that holds the file. */
export class BoundFile {
  constructor(private readonly token: string) {}

  async read(): Promise<DiskFile> {
    const response = await fetch('./api/machine', { headers: this.headers(), cache: 'no-store' });
    if (!response.ok) throw new Error(await whyNot(response));
    return (await response.json()) as DiskFile;
  }

  /** @param version  of the text that the new one was made from */
  async write(text: string, version: string): Promise<WriteResult> {
    const response = await fetch('./api/machine', { method: 'PUT', headers: { ...this.headers(), 'content-type': 'text/plain; charset=utf-8', 'if-match': `"${version}"` }, body: text });
    if (response.status === 409) return { outcome: 'changed meanwhile', file: (await response.json()) as DiskFile };
    if (!response.ok) return { outcome: 'refused', why: await whyNot(response) };
    return { outcome: 'written', version: ((await response.json()) as { version: string }).version };
  }

  /** Tells of every change on disk; ends when the server does. */
  async follow(changed: () => void): Promise<void> {
    const response = await fetch('./api/changes', { headers: this.headers(), cache: 'no-store' });
    const reader = response.body?.pipeThrough(new TextDecoderStream()).getReader();
    if (!response.ok || reader === undefined) throw new Error('the file on disk cannot be followed');
    for (;;) {
      const { done, value } = await reader.read();
      if (done) return;
      if (value.includes('event: changed')) changed();
    }
  }

  private headers(): Record<string, string> {
    return { 'x-ampwright-token': this.token };
  }
}

async function whyNot(response: Response): Promise<string> {
  const text = (await response.text()).trim();
  return text === '' ? `the server answered ${response.status}` : text;
}
