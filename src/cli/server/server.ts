import { randomBytes } from 'node:crypto';
import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { firstInvalidByte } from '../source-file.ts';
import { Mistake } from '../exit.ts';
import { BoundFile } from './bound-file.ts';
import { COMPUTING_POLICY, isOwn, isToken, POLICY } from './guard.ts';
import { pageFiles, type PageFile } from './page-files.ts';

/** A page bound to a file, while it is served. */
export interface BoundPage {
  /** With the token in it: who has not seen it here has no way in. */
  readonly address: string;
  close(): Promise<void>;
}

export interface BoundPageOptions {
  readonly path: string;
  /** Folder of the page's build. */
  readonly folder: string;
  /** 0 takes any that is free. */
  readonly port: number;
}

/** Larger than this no machine file is. */
const LARGEST_bytes = 1_000_000;
/** A line now and then keeps a silent connection from being taken for a dead one. */
const PULSE_MS = 20_000;
/** The worker that runs the circuits, by the name that its build gives it. */
const COMPUTES = /^\/assets\/asking\.worker-[\w-]+\.js$/;

/**
 * Serves the page on the loopback address, bound to one file.
 * @throws Mistake when the file cannot be read; Error when the page has not been built or the port is taken
 */
export async function servePage({ path, folder, port }: BoundPageOptions): Promise<BoundPage> {
  const files = pageFiles(folder);
  if (files === undefined) throw new Error(`${folder}: expected the built page, found none; npm run build makes it`);
  const file = new BoundFile(path);
  file.read();
  const token = randomBytes(24).toString('base64url');
  const site = new Site(file, files, token);
  const server = createServer((request, response) => site.handle(request, response));
  // A request that dribbles in keeps nobody else waiting.
  server.headersTimeout = 10_000;
  server.requestTimeout = 30_000;
  await listen(server, port);
  site.port = (server.address() as AddressInfo).port;
  const unfollow = file.follow(() => site.tell());
  return {
    address: `http://127.0.0.1:${site.port}/?token=${token}`,
    async close() {
      site.end();
      await unfollow();
      await new Promise<void>((closed) => {
        server.close(() => closed());
        server.closeAllConnections();
      });
    },
  };
}

function listen(server: Server, port: number): Promise<void> {
  return new Promise((listening, fail) => {
    server.once('error', fail);
    server.listen(port, '127.0.0.1', () => {
      server.off('error', fail);
      listening();
    });
  });
}

class Site {
  port = 0;
  private readonly listeners = new Set<ServerResponse>();

  constructor(
    private readonly file: BoundFile,
    private readonly files: ReadonlyMap<string, PageFile>,
    private readonly token: string,
  ) {}

  handle(request: IncomingMessage, response: ServerResponse): void {
    response.setHeader('content-security-policy', POLICY);
    response.setHeader('x-content-type-options', 'nosniff');
    response.setHeader('referrer-policy', 'no-referrer');
    response.setHeader('cross-origin-resource-policy', 'same-origin');
    this.answer(request, response)
      .catch((error: unknown) => refusal(500, error instanceof Mistake ? error.message : 'a fault of the program'))
      .then((reply) => {
        if (reply === 'goes on') return;
        response.writeHead(reply.status, { 'content-type': reply.type, 'cache-control': 'no-store', ...reply.headers });
        response.end(request.method === 'HEAD' ? undefined : reply.body);
      })
      .catch(() => response.destroy());
  }

  /** Tells every open page that the file has changed. */
  tell(): void {
    for (const listener of this.listeners) listener.write('event: changed\ndata: 1\n\n');
  }

  end(): void {
    for (const listener of this.listeners) listener.end();
  }

  private async answer(request: IncomingMessage, response: ServerResponse): Promise<Reply | 'goes on'> {
    if (!isOwn(request, this.port)) return refusal(403, 'This address is served to its own page only.');
    const url = new URL(request.url ?? '/', `http://127.0.0.1:${this.port}`);
    if (url.pathname.startsWith('/api/')) return this.api(request, response, url.pathname);
    if (request.method !== 'GET' && request.method !== 'HEAD') return refusal(405, 'Only GET.');
    const path = url.pathname === '/' ? '/index.html' : url.pathname;
    if (path === '/index.html' && !isToken(url.searchParams.get('token') ?? undefined, this.token)) {
      return refusal(403, 'Open the address that ampwright printed, with its token.');
    }
    const found = this.files.get(path);
    if (found === undefined) return refusal(404, 'There is no such page.');
    return {
      status: 200,
      type: found.type,
      body: found.body,
      headers: {
        ...(found.lasting ? { 'cache-control': 'public, max-age=31536000, immutable' } : {}),
        ...(COMPUTES.test(path) ? { 'content-security-policy': COMPUTING_POLICY } : {}),
      },
    };
  }

  private async api(request: IncomingMessage, response: ServerResponse, path: string): Promise<Reply | 'goes on'> {
    const given = request.headers['x-ampwright-token'];
    if (!isToken(typeof given === 'string' ? given : undefined, this.token)) return refusal(403, 'The token is missing or wrong.');
    if (path === '/api/machine' && request.method === 'GET') return json(200, this.file.read());
    if (path === '/api/machine' && request.method === 'PUT') return this.write(request);
    if (path !== '/api/changes' || request.method !== 'GET') return refusal(404, 'There is nothing of that name.');
    this.follow(response);
    return 'goes on';
  }

  private async write(request: IncomingMessage): Promise<Reply> {
    const version = /^"([0-9a-f]{32})"$/.exec(request.headers['if-match'] ?? '')?.[1];
    if (version === undefined) return refusal(428, 'Expected the version that the text was made from.');
    const body = await bodyOf(request);
    if (body === undefined) return refusal(413, 'Expected a machine file of at most 1 MB.');
    if (firstInvalidByte(body) !== undefined) return refusal(400, 'Expected UTF-8 text.');
    const { written, state } = this.file.write(new TextDecoder('utf-8', { ignoreBOM: true }).decode(body), version);
    return json(written ? 200 : 409, state);
  }

  private follow(response: ServerResponse): void {
    response.writeHead(200, { 'content-type': 'text/event-stream', 'cache-control': 'no-store' });
    response.write(': here\n\n');
    this.listeners.add(response);
    const pulse = setInterval(() => response.write(': still here\n\n'), PULSE_MS);
    response.on('close', () => {
      clearInterval(pulse);
      this.listeners.delete(response);
    });
  }
}

async function bodyOf(request: IncomingMessage): Promise<Buffer | undefined> {
  const pieces: Buffer[] = [];
  let length = 0;
  for await (const piece of request as AsyncIterable<Buffer>) {
    length += piece.length;
    if (length > LARGEST_bytes) return undefined;
    pieces.push(piece);
  }
  return Buffer.concat(pieces);
}

interface Reply {
  readonly status: number;
  readonly type: string;
  readonly body: string | Buffer;
  readonly headers?: Readonly<Record<string, string>>;
}

function json(status: number, body: unknown): Reply {
  return { status, type: 'application/json; charset=utf-8', body: JSON.stringify(body) };
}

function refusal(status: number, words: string): Reply {
  return { status, type: 'text/plain; charset=utf-8', body: `${words}\n` };
}
