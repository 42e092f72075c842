const ENTITIES: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&#39;' };

/**
 * Text made safe for HTML and SVG, as content and inside quoted attributes. What a reader cannot see but a page
 * would obey (control characters, lone surrogates, marks that reverse the direction of text) becomes U+FFFD.
 */
export function escapeText(text: string): string {
  return text
    .replace(/[\p{Cc}\p{Cs}\u2028\u2029\u200E\u200F\u061C\u202A-\u202E\u2066-\u2069\uFFFE\uFFFF]/gu, (mark) => (mark === '\n' || mark === '\t' ? ' ' : '\uFFFD'))
    .replace(/[&<>"']/g, (mark) => ENTITIES[mark] ?? mark);
}
