import { useEffect, useRef } from 'preact/hooks';
import { kindOf } from '../../machine/parts.ts';
import type { GoodMachine } from '../store/document.ts';
import { begin, doing, type Doing, type InHand } from '../store/in-hand.ts';
import { ConnectPanel } from './connect-panel.tsx';
import { nearEnds, spotsOf } from './ends.ts';
import { PutInPanel } from './put-in-panel.tsx';
import { branchesOf, chainsOf, SurePanel } from './sure-panel.tsx';

/** What can be made of what is in hand: each opens below and says what it will do before it does it. */
export function RebuildMenu({ inHand, machine: { machine } }: { readonly inHand: InHand; readonly machine: GoodMachine }) {
  const isMotor = inHand.is === 'part' && inHand.part.kind === 'motor';
  const acts: readonly { readonly what: Doing; readonly words: string; readonly fits: boolean }[] = [
    { what: 'put in', words: 'Put a part in here …', fits: spotsOf(machine, inHand).length > 0 },
    { what: 'connect', words: 'Connect …', fits: isMotor || nearEnds(machine, inHand).length > 0 },
    { what: 'disconnect', words: 'Disconnect …', fits: chainsOf(machine, inHand).length > 0 },
    { what: 'duplicate', words: 'Duplicate this branch …', fits: branchesOf(machine, inHand).length > 0 },
    { what: 'take out', words: 'Take out …', fits: inHand.is === 'part' && kindOf(inHand.part.kind) !== undefined },
  ];
  const open = doing.value;
  const panel = useRef<HTMLDivElement>(null);
  useEffect(() => {
    if (open === undefined) return;
    panel.current?.focus({ preventScroll: true });
    panel.current?.closest('.rebuild')?.scrollIntoView({ block: 'start' });
  }, [open]);
  return (
    <div class="rebuild">
      <div class="rebuild-acts" role="group" aria-label="Change what hangs on what">
        {acts.filter(({ fits }) => fits).map(({ what, words }) => (
          <button key={what} type="button" aria-expanded={open === what} aria-controls="rebuild-panel" onClick={() => begin(open === what ? undefined : what)}>{words}</button>
        ))}
      </div>
      <div id="rebuild-panel" ref={panel} tabIndex={-1} role="group" aria-label={acts.find(({ what }) => what === open)?.words ?? 'Nothing is opened'} onKeyDown={(event) => (event.key === 'Escape' ? leave(event) : undefined)}>
        {open === 'put in' ? <PutInPanel inHand={inHand} machine={machine} />
          : open === 'connect' ? <ConnectPanel inHand={inHand} machine={machine} />
          : open === undefined ? null : <SurePanel key={open} what={open} inHand={inHand} machine={machine} />}
      </div>
    </div>
  );
}

/** Closes what was opened, and goes back to the button that opened it. */
function leave(event: KeyboardEvent): void {
  event.stopPropagation();
  const opener = document.querySelector<HTMLElement>('.rebuild-acts [aria-expanded=true]');
  begin(undefined);
  opener?.focus();
}
