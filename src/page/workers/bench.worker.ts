import { editMachine } from '../../machine/file/edit.ts';
import { readMachine } from '../../machine/file/read.ts';
import { rebuild } from '../../machine/rebuild/rebuild.ts';
import { Situations } from '../../questions/states/look.ts';
import type { BenchRequest, Edited, ReadText } from './messages.ts';
import { scope } from './scope.ts';

let known: { readonly text: string; readonly situations: Situations } | undefined;

scope.onmessage = ({ data }) => {
  const { call, request } = data as { readonly call: number; readonly request: BenchRequest };
  try {
    scope.postMessage({ call, answer: answer(request) });
  } catch (error) {
    scope.postMessage({ call, fault: error instanceof Error ? error.message : String(error) });
  }
};

function answer(request: BenchRequest): unknown {
  switch (request.does) {
    case 'read':
      return read(request.text);
    case 'edit':
      return edit(request);
    case 'rebuild':
      return rebuild(request.text, request.wish);
    case 'look':
      if (known?.text !== request.text) read(request.text);
      return known?.text === request.text ? known.situations.look(request.situation) : undefined;
  }
}

function read(text: string): ReadText {
  const file = readMachine(text);
  if (!file.ok) return file;
  const situations = new Situations(file.machine);
  known = { text, situations };
  return { ...file, changeables: situations.changeables };
}

function edit({ text, edits }: Extract<BenchRequest, { does: 'edit' }>): Edited {
  try {
    return { ok: true, text: editMachine(text, edits) };
  } catch (error) {
    if (error instanceof RangeError) return { ok: false, why: error.message };
    throw error;
  }
}
