/** A rectangle on the chart, px, y downwards. */
export interface Box {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

/** A place for a label: where its text is anchored and what it covers. */
export interface Spot {
  readonly x: number;
  readonly y: number;
  readonly anchor: 'start' | 'middle' | 'end';
  readonly box: Box;
}

/** Width of a line of text, px. Generous for the fonts a system may bring, so that a label keeps clear of its neighbours. */
export function textWidth(text: string, size_px: number): number {
  return [...text].length * size_px * 0.58;
}

/** A spot for a text whose baseline starts, centres or ends at a point. */
export function spotAt(text: string, size_px: number, x: number, y: number, anchor: Spot['anchor']): Spot {
  const width = textWidth(text, size_px);
  const left = anchor === 'start' ? x : anchor === 'end' ? x - width : x - width / 2;
  return { x, y, anchor, box: { left, top: y - size_px, right: left + width, bottom: y + size_px * 0.3 } };
}

/**
 * The first of the spots that covers least of the lines, among those inside the bounds that touch no box already taken;
 * undefined when every spot is taken.
 * @param ink  points along the drawn lines
 */
export function freeSpot(spots: readonly Spot[], bounds: Box, taken: readonly Box[], ink: readonly { readonly x: number; readonly y: number }[]): Spot | undefined {
  let best: Spot | undefined;
  let least = Infinity;
  for (const spot of spots) {
    if (!within(spot.box, bounds) || taken.some((box) => overlap(box, spot.box))) continue;
    const covered = ink.filter(({ x, y }) => x > spot.box.left && x < spot.box.right && y > spot.box.top && y < spot.box.bottom).length;
    if (covered < least) {
      best = spot;
      least = covered;
    }
  }
  return best;
}

/** Text cut to a width, with an ellipsis where something is missing. */
export function cutTo(text: string, size_px: number, width_px: number): string {
  if (textWidth(text, size_px) <= width_px) return text;
  const room = Math.max(1, Math.floor(width_px / (size_px * 0.58)) - 1);
  return `${[...text].slice(0, room).join('').trimEnd()}…`;
}

function within(box: Box, bounds: Box): boolean {
  return box.left >= bounds.left && box.right <= bounds.right && box.top >= bounds.top && box.bottom <= bounds.bottom;
}

function overlap(a: Box, b: Box): boolean {
  return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}
