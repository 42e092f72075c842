import { signal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { DEMOS, demoText } from '../store/demos.ts';
import { openFile } from '../store/files.ts';
import { home, openAsNew, openKept, saving } from '../store/session.ts';
import { dropMachine, keptMachines, type Kept } from '../store/shelf.ts';
import { go } from '../store/view.ts';

const kept = signal<readonly Kept[]>([]);

async function renew(): Promise<void> {
  kept.value = await keptMachines().catch(() => []);
}

/** Machines in this browser, demos, and files to open. */
export function Machines() {
  useEffect(() => void renew(), [saving.value]);
  const where = home.value;
  const open = (work: Promise<void>): void => void work.then(() => go('questions'));
  return (
    <div class="machines">
      {where?.kind === 'disk' ? <p class="bound">This page is bound to {where.name} on disk. What you open here is kept in this browser instead.</p> : null}
      <p class="ways"><button type="button" class="act" onClick={() => go('start')}>New machine</button> <button type="button" class="act quiet" onClick={() => go('compare')}>Compare</button> <button type="button" class="act quiet" onClick={() => go('papers')}>Papers</button> <button type="button" class="act quiet" onClick={() => go('crew')}>Crew</button></p>
      <h2>Open a file</h2>
      <p><input type="file" accept=".yaml,.yml,.html,.txt" aria-label="Machine file or share page" onChange={(event) => {
        const [file] = event.currentTarget.files ?? [];
        if (file !== undefined) open(openFile(file));
      }} /></p>
      <h2>Demo machines</h2>
      <ul>{DEMOS.map((name) => <li key={name}><button type="button" onClick={() => open(demoText(name).then((text) => openAsNew(text, name)))}>{name.replace(/\.yaml$/, '').toUpperCase()}</button></li>)}</ul>
      <h2>In this browser</h2>
      {kept.value.length === 0 ? <p class="waiting">None yet.</p> : (
        <ul>{kept.value.map((one) => (
          <li key={one.id}>
            <button type="button" onClick={() => open(openKept(one.id))}>{one.name} <span class="about">{one.changed.slice(0, 16).replace('T', ' ')}</span></button>
            {where?.kind === 'browser' && where.id === one.id ? <span class="about">open</span> : <button type="button" class="plain" onClick={() => void dropMachine(one.id).then(renew)} aria-label={`Throw ${one.name} away`}>Throw away</button>}
          </li>
        ))}</ul>
      )}
    </div>
  );
}
