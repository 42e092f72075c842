import { good } from '../store/document.ts';
import { startFault } from '../store/session.ts';
import { isWide, view } from '../store/view.ts';
import { VIEWS, type View } from '../views.ts';
import { Head } from './head.tsx';
import { Late } from './late.tsx';
import { Notices } from './notices.tsx';
import { PhoneSwitch } from './phone-switch.tsx';
import { Drawer } from './drawer.tsx';

export function Shell() {
  if (startFault.value !== undefined) return <main class="sorry"><h1>The machine file cannot be opened</h1><p>{startFault.value}</p></main>;
  const shown = VIEWS.find(({ id }) => id === view.value) ?? viewOf('questions');
  if (shown.place === 'whole') return <main class="whole"><Late view={shown} /></main>;
  return isWide.value ? <Laptop side={shown.place === 'side' ? shown : viewOf('questions')} /> : <Phone shown={shown} />;
}

function Laptop({ side }: { readonly side: View }) {
  return (
    <div class={`laptop ${side.id === 'file' ? 'with-file' : ''}`}>
      <div class="side">
        <Head />
        <main class="side-view" aria-label={side.name}><Late view={side} /></main>
      </div>
      <div class="centre">
        <Notices />
        <Late view={viewOf('drawing')} />
        {good.value === undefined ? null : <Drawer />}
      </div>
    </div>
  );
}

function Phone({ shown }: { readonly shown: View }) {
  return (
    <div class="phone">
      <Notices />
      {shown.place === 'pane' ? null : <Head />}
      <main class={`phone-view ${shown.id}`} aria-label={shown.name}>
        {shown.place === 'pane' ? <h1 class="unseen">{good.value?.machine.name ?? 'Ampwright'}</h1> : null}
        <Late view={shown} />
      </main>
      <PhoneSwitch shown={shown.id} />
    </div>
  );
}

function viewOf(id: string): View {
  const found = VIEWS.find((one) => one.id === id);
  if (found === undefined) throw new Error(`there is no view ${id}`);
  return found;
}
