import { redo, undo } from '../store/document.ts';
import { save } from '../store/session.ts';

/** Keys that work everywhere: undo, redo, save. */
export function followKeys(): void {
  addEventListener('keydown', (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
    const act = actOf(event.key.toLowerCase(), event.shiftKey);
    if (act === undefined) return;
    event.preventDefault();
    act();
  });
}

function actOf(key: string, shift: boolean): (() => void) | undefined {
  if (key === 'z') return shift ? redo : undo;
  if (key === 'y') return redo;
  return key === 's' ? () => void save() : undefined;
}
