import { timingSafeEqual } from 'node:crypto';
import type { IncomingMessage } from 'node:http';

/** What a browser may do with the page: nothing that the page does not bring itself. */
export const POLICY = [
  "default-src 'none'", "script-src 'self'", "worker-src 'self'", "style-src 'self'", "img-src 'self' data: blob:", "font-src 'self'", "connect-src 'self'", "manifest-src 'self'",
  "base-uri 'none'", "form-action 'none'", "frame-ancestors 'none'",
].join('; ');

/**
 * The same for the worker that computes: it has no document and reaches nothing. It may make code, because its fast kernels
 * are made from the circuit's numbers as text; the page itself may not.
 */
export const COMPUTING_POLICY = "default-src 'none'; script-src 'self' 'unsafe-eval'";

/**
 * Whether a request comes from where it says: its Host is the loopback name that the server was opened under, so that no
 * name that leads here by a trick is served, and its Origin, where a browser names one, is the page itself.
 */
export function isOwn({ headers }: IncomingMessage, port: number): boolean {
  const hosts = [`127.0.0.1:${port}`, `localhost:${port}`];
  const { host, origin } = headers;
  if (host === undefined || !hosts.includes(host)) return false;
  return origin === undefined || origin === `http://${host}`;
}

/** Compares in the same time whatever is given. */
export function isToken(given: string | undefined, token: string): boolean {
  if (given === undefined) return false;
  const [a, b] = [Buffer.from(given), Buffer.from(token)];
  return a.length === b.length && timingSafeEqual(a, b);
}
