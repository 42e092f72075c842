import { readMachine } from '../../machine/file/read.ts';
import { replayMatch } from '../../questions/replay/match.ts';
import { replayProcedure } from '../../questions/replay/procedure.ts';
import type { ReplayRequest, Replays } from './messages.ts';
import { scope } from './scope.ts';

scope.onmessage = ({ data }) => {
  const { call, request } = data as { readonly call: number; readonly request: ReplayRequest };
  try {
    scope.postMessage({ call, answer: replays(request) });
  } catch (error) {
    scope.postMessage({ call, fault: error instanceof Error ? error.message : String(error) });
  }
};

function replays({ text, of }: ReplayRequest): Replays {
  const file = readMachine(text);
  if (!file.ok) return {};
  return of === 'match' ? { match: replayMatch(file.machine) } : { ...replayProcedure(file.machine) };
}
