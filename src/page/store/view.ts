import { signal } from '@preact/signals';

/** What is open in the page, kept in the address so that the back button works: `#/questions/spark`, `#/hand/R1`. */
export const view = signal('questions');
export const openQuestion = signal<string | undefined>(undefined);
/** What is in hand: a part by its id, a lead by its name (`wiring.drive#1`), a place with an @ before it. */
export const selectedPart = signal<string | undefined>(undefined);

/** Width from which drawing, questions and the value in hand stand beside each other. */
const wide = matchMedia('(min-width: 1100px)');
export const isWide = signal(wide.matches);
wide.addEventListener('change', () => (isWide.value = wide.matches));

/** Reads the address when the page starts and whenever it changes. */
export function followAddress(): void {
  const read = (): void => {
    const [name = '', rest] = location.hash.replace(/^#\/?/, '').split('/', 2);
    const argument = rest === undefined || rest === '' ? undefined : decode(rest);
    view.value = name === '' ? 'questions' : name;
    if (name === 'questions' || name === '') openQuestion.value = argument;
    if (name === 'hand' && argument !== undefined) selectedPart.value = argument;
  };
  addEventListener('hashchange', read);
  read();
}

export function go(name: string, argument?: string): void {
  const hash = `#/${name}${argument === undefined ? '' : `/${encodeURIComponent(argument)}`}`;
  if (location.hash !== hash) location.hash = hash;
}

/** Takes a part in hand; on a laptop nothing else moves. */
export function select(part: string | undefined): void {
  selectedPart.value = part;
}

/** Shows a part where it stands. */
export function showInDrawing(part: string): void {
  select(part);
  if (!isWide.peek()) go('drawing');
}

function decode(text: string): string | undefined {
  try {
    return decodeURIComponent(text);
  } catch {
    return undefined;
  }
}
