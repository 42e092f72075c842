import { editMachine } from '../file/edit.ts';
import type { Issue } from '../file/issue.ts';
import { readMachine } from '../file/read.ts';
import type { Machine } from '../machine.ts';
import { planConnect, planDrive } from './connect.ts';
import { planDuplicate } from './duplicate.ts';
import { planLead } from './lead-size.ts';
import { planPutIn } from './put-in.ts';
import { planSoftStart } from './soft-start.ts';
import { planDisconnect, planTakeOut } from './take-out.ts';
import type { Plan, Rebuild } from './wish.ts';

/** The file with a change made, or why it is not made and what to do. */
export type Rebuilt =
  | { readonly ok: true; readonly text: string; readonly what: string; readonly also: readonly string[]; readonly part: string | undefined }
  | { readonly ok: false; readonly why: string };

/**
 * Changes what hangs on what, in the text of a machine file: comments and the order of the rest stay as they are. The
 * result is a machine that the reader accepts; otherwise nothing is changed, and it is said why. Never throws for a file.
 */
export function rebuild(text: string, wish: Rebuild): Rebuilt {
  const file = readMachine(text);
  if (!file.ok) return { ok: false, why: 'The file is no machine as it stands. Mend its errors first.' };
  const plan = planOf(file.machine, text, wish);
  if (!plan.ok) return plan;
  let edited: string;
  try {
    edited = editMachine(text, plan.edits);
  } catch (error) {
    // What is written on one line, or in a form that cannot be extended, is a matter for the file's own editor.
    if (error instanceof RangeError) return { ok: false, why: `The file is written in a way that this change cannot be made in (${error.message}). Change it in the file.` };
    throw error;
  }
  const result = readMachine(edited);
  if (!result.ok) return { ok: false, why: whyOf(result.issues) };
  return { ok: true, text: edited, what: plan.what, also: plan.also, part: plan.part };
}

function planOf(machine: Machine, text: string, wish: Rebuild): Plan {
  switch (wish.rebuild) {
    case 'put in':
      return planPutIn(machine, wish.into, wish.part);
    case 'soft start':
      return planSoftStart(machine, wish.part, wish.resistor);
    case 'connect':
      return planConnect(machine, text, wish);
    case 'drive':
      return planDrive(machine, wish.controller, wish.motor);
    case 'take out':
      return planTakeOut(machine, wish.part);
    case 'disconnect':
      return planDisconnect(machine, wish.chain);
    case 'duplicate':
      return planDuplicate(machine, wish.chain);
    case 'lead':
      return planLead(machine, wish.lead, wish.text);
  }
}

/** The first thing that the reader would not take, in its own words. */
function whyOf(issues: readonly Issue[]): string {
  const issue = issues.find(({ severity }) => severity === 'error');
  if (issue === undefined) return 'The file would be no machine any more.';
  const where = [issue.part, issue.field].filter((word) => word !== undefined).join(', ');
  const end = issue.hint === undefined ? '.' : `; ${issue.hint}${issue.hint.endsWith('?') ? '' : '.'}`;
  return `${where === '' ? 'In the file' : where}: expected ${issue.expected}, found ${issue.found}${end}`;
}
