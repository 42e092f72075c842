import { fileName, text } from './document.ts';
import { saveText } from './save.ts';
import { notice, openAsNew } from './session.ts';

/** Larger than this no machine file is; a share page may be. */
const LARGEST_TEXT = 1_000_000;
const LARGEST_PAGE = 40_000_000;

/** Text and name of a machine file, or of the one inside a share page; otherwise why there is none. */
export async function textOf(file: File): Promise<{ readonly text: string; readonly name: string } | { readonly why: string }> {
  const page = /\.html?$/i.test(file.name);
  if (file.size > (page ? LARGEST_PAGE : LARGEST_TEXT)) return { why: `${file.name}: expected a machine file of at most 1 MB, found ${(file.size / 1e6).toFixed(1)} MB. Nothing was opened.` };
  const whole = await file.text();
  const inside = page ? (await import('../../sheets/share/share-page.ts')).machineInside(whole) : whole;
  if (inside === undefined) return { why: `${file.name}: this page holds no machine file. Nothing was opened.` };
  return { text: inside, name: page ? file.name.replace(/\.html?$/i, '.yaml') : file.name };
}

/** Opens a machine file, or a share page with one inside. What is neither is said, and nothing changes. */
export async function openFile(file: File): Promise<void> {
  const found = await textOf(file);
  notice.value = 'why' in found ? found.why : undefined;
  if ('text' in found) openAsNew(found.text, found.name);
}

/** Hands the file to the browser to be saved. */
export function saveCopy(): void {
  saveText(fileName.peek(), text.peek(), 'application/yaml');
}

/** Hands the file to another program of the device where it can be; otherwise copies its text. */
export async function share(): Promise<void> {
  const file = new File([text.peek()], fileName.peek().replace(/\.ya?ml$/i, '.txt'), { type: 'text/plain' });
  try {
    if (typeof navigator.share === 'function' && navigator.canShare({ files: [file] })) {
      await navigator.share({ files: [file], title: fileName.peek() });
      return;
    }
    await navigator.clipboard.writeText(text.peek());
    notice.value = 'The text of the machine file is copied: paste it where you want to share it.';
  } catch (error) {
    if (error instanceof DOMException && error.name === 'AbortError') return;
    notice.value = 'This browser lets nothing be shared: save a copy instead.';
  }
}
