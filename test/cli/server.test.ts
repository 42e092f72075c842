import { request } from 'node:http';
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { servePage, type BoundPage } from '../../src/cli/server/server.ts';

// What a server on the loopback address has to keep out: OWASP Cheat Sheet Series (from memory) on DNS rebinding (check the
// Host), on cross-site requests (check the Origin, ask for a header that other sites cannot set) and on path traversal.

interface Reply {
  readonly status: number;
  readonly body: string;
  readonly headers: Readonly<Record<string, string | string[] | undefined>>;
}

let folder: string;
let path: string;
let served: BoundPage;
let port: number;
let token: string;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'ampwright-server-'));
  mkdirSync(join(folder, 'page', 'assets'), { recursive: true });
  writeFileSync(join(folder, 'page', 'index.html'), '<title>page</title>');
  writeFileSync(join(folder, 'page', 'assets', 'a-1.js'), '1');
  writeFileSync(join(folder, 'secret.txt'), 'secret');
  path = join(folder, 'robot.yaml');
  writeFileSync(path, 'one\n');
  served = await servePage({ path, folder: join(folder, 'page'), port: 0 });
  const address = new URL(served.address);
  port = Number(address.port);
  token = address.searchParams.get('token') ?? '';
});
afterAll(async () => {
  await served.close();
  rmSync(folder, { recursive: true });
});

/** Sends the path as it stands: a client that tidies it up first would hide what is tested. */
function ask(target: string, { method = 'GET', headers = {}, body }: { method?: string; headers?: Record<string, string>; body?: string | Buffer } = {}): Promise<Reply> {
  return new Promise((done, fail) => {
    const sent = request({ host: '127.0.0.1', port, path: target, method, headers: { host: `127.0.0.1:${port}`, ...headers } }, (response) => {
      const pieces: Buffer[] = [];
      response.on('data', (piece: Buffer) => pieces.push(piece));
      response.on('end', () => done({ status: response.statusCode ?? 0, body: Buffer.concat(pieces).toString('utf8'), headers: response.headers }));
    });
    sent.on('error', fail);
    sent.end(body);
  });
}

const own = (): Record<string, string> => ({ 'x-ampwright-token': token });

describe('the server of a bound page', () => {
  it('listens on the loopback address alone', () => {
    expect(new URL(served.address).hostname).toBe('127.0.0.1');
  });

  it('gives the page only to who has the token, and with a policy that lets no other code in', async () => {
    expect((await ask('/')).status).toBe(403);
    expect((await ask(`/?token=${'x'.repeat(token.length)}`)).status).toBe(403);
    const page = await ask(`/?token=${token}`);
    expect(page.status).toBe(200);
    expect(page.headers['content-security-policy']).toContain("default-src 'none'");
    expect(page.headers['content-security-policy']).not.toContain('unsafe');
  });

  it.each(['evil.example', '127.0.0.1', 'localhost:1', '127.0.0.1.evil.example:80'])('answers no request for the host %s', async (host) => {
    expect((await ask(`/?token=${token}`, { headers: { host } })).status).toBe(403);
  });

  it.each(['http://evil.example', 'null', 'https://127.0.0.1'])('answers no request that comes from %s', async (origin) => {
    expect((await ask('/api/machine', { headers: { ...own(), origin } })).status).toBe(403);
  });

  it.each(['/../secret.txt', '/assets/../../secret.txt', '/%2e%2e/secret.txt', '/..%2fsecret.txt', '/assets/..\\..\\secret.txt', '//etc/passwd', '/robot.yaml', '/assets/'])('serves nothing at %s', async (target) => {
    const reply = await ask(target);
    expect([403, 404]).toContain(reply.status);
    expect(reply.body).not.toContain('secret');
  });

  it('gives and takes the file only with the token in its header', async () => {
    expect((await ask('/api/machine')).status).toBe(403);
    expect((await ask(`/api/machine?token=${token}`)).status).toBe(403);
    expect((await ask('/api/machine', { method: 'PUT', body: 'x' })).status).toBe(403);
    expect(readFileSync(path, 'utf8')).toBe('one\n');
  });

  it('writes in one step what was made from the newest text, and gives back the newest where it was not', async () => {
    const first = JSON.parse((await ask('/api/machine', { headers: own() })).body) as { text: string; version: string };
    const put = (text: string, version: string): Promise<Reply> => ask('/api/machine', { method: 'PUT', headers: { ...own(), 'if-match': `"${version}"` }, body: text });
    expect((await put('two\n', first.version)).status).toBe(200);
    expect(readFileSync(path, 'utf8')).toBe('two\n');
    const late = await put('three\n', first.version);
    expect(late.status).toBe(409);
    expect(JSON.parse(late.body)).toMatchObject({ text: 'two\n' });
    expect(readFileSync(path, 'utf8')).toBe('two\n');
    expect(readdirSync(folder).sort()).toEqual(['page', 'robot.yaml', 'secret.txt']);
  });

  it('takes no text without a version, no large one and none that is not UTF-8', async () => {
    const { version } = JSON.parse((await ask('/api/machine', { headers: own() })).body) as { version: string };
    const put = (body: string | Buffer, headers: Record<string, string>): Promise<number> => ask('/api/machine', { method: 'PUT', headers: { ...own(), ...headers }, body }).then(({ status }) => status);
    expect(await put('x', {})).toBe(428);
    expect(await put(Buffer.from([0xff, 0xfe, 0x00]), { 'if-match': `"${version}"` })).toBe(400);
    expect(await put('x'.repeat(1_000_001), { 'if-match': `"${version}"` })).toBe(413);
  });

  it('tells of a change on disk', async () => {
    const told = new Promise<string>((done, fail) => {
      const sent = request({ host: '127.0.0.1', port, path: '/api/changes', headers: { host: `127.0.0.1:${port}`, ...own() } }, (response) => {
        response.on('data', (piece: Buffer) => {
          const text = piece.toString('utf8');
          if (text.startsWith(': here')) writeFileSync(path, 'from an editor\n');
          if (!text.includes('event: changed')) return;
          sent.destroy();
          done(text);
        });
      });
      sent.on('error', fail);
      sent.end();
    });
    expect(await told).toContain('event: changed');
  });
});
