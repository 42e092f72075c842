import { PACK } from '../../machine/parts/pack.ts';
import { DEMOS, demoText } from '../store/demos.ts';
import { openFile } from '../store/files.ts';
import { notice, openAsNew } from '../store/session.ts';
import { go } from '../store/view.ts';
import { readCapacity, readCells, readDrives, readFuse, readName, readRating, softStartOf, type Typed } from './facts.ts';
import { Choice, Value, type Option } from './fields.tsx';
import { capacities, CELLS, DRIVES, PRESETS, RATINGS, WEAPONS } from './presets.ts';
import { choose, preset, say, typed } from './walk.ts';

export function Kind() {
  return (
    <>
      <Choice name="It is most like" options={PRESETS} chosen={preset.value} onChoose={choose} />
      <Value name="Its name" value={typed.value.name} options={[]} read={readName(typed.value.name)} onSay={(name) => say({ name })} example="LIFTER" />
      <Elsewhere />
    </>
  );
}

/** Whoever has a machine already needs no questions. */
function Elsewhere() {
  const opened = (work: Promise<boolean>): void => void work.then((done) => (done ? go('questions') : undefined));
  return (
    <details class="start-elsewhere">
      <summary>Or start from a demo, a file or a share page</summary>
      <p class="start-options">{DEMOS.map((name) => <button key={name} type="button" onClick={() => opened(demoText(name).then((text) => { openAsNew(text, name); return true; }))}>{name.replace(/\.yaml$/, '').toUpperCase()}</button>)}</p>
      <p><label>Machine file or share page <input type="file" accept=".yaml,.yml,.html,.txt" onChange={(event) => {
        const [file] = event.currentTarget.files ?? [];
        if (file !== undefined) opened(openFile(file).then(() => notice.peek() === undefined));
      }} /></label></p>
      {notice.value === undefined ? null : <p class="trouble" role="alert">{notice.value}</p>}
    </details>
  );
}

const CHEMISTRIES: Readonly<Record<Typed['chemistry'], string>> = {
  lipo: 'soft packs, 4.2 V a cell when full', nmc: 'round cells, 4.2 V when full', nca: 'round cells, 4.2 V when full', lfp: '3.65 V when full',
};
const CHEMISTRY_NAMES: Readonly<Record<Typed['chemistry'], string>> = { lipo: 'LiPo', nmc: 'Li-ion NMC', nca: 'Li-ion NCA', lfp: 'LFP' };

export function Pack() {
  const now = typed.value;
  const cells = readCells(now.cells);
  return (
    <>
      <Value name="Cells in series" value={now.cells} options={CELLS} read={cells} onSay={(text) => say({ cells: text })} example="6S" />
      <Value name="Capacity" value={now.capacity} options={capacities(cells.ok ? cells.value : 6)} read={readCapacity(now.capacity)} onSay={(capacity) => say({ capacity })} example="3.3 Ah" />
      <Choice name="Chemistry" options={PACK.fields.chemistry.options.map((id): Option<Typed['chemistry']> => ({ id, name: CHEMISTRY_NAMES[id], about: CHEMISTRIES[id] }))} chosen={now.chemistry} onChoose={(chemistry) => say({ chemistry })} />
    </>
  );
}

export function Moves() {
  const now = typed.value;
  return (
    <>
      <Value name="Drive controllers" value={now.drives} options={DRIVES} read={readDrives(now.drives)} onSay={(drives) => say({ drives })} example="2" />
      <Value name="Rating of each" value={now.rating} options={RATINGS} read={readRating(now.rating)} onSay={(rating) => say({ rating })} example="60 A" />
      <Choice
        name="A weapon or arm?" chosen={now.hasWeapon ? 'yes' : 'no'} onChoose={(has) => say({ hasWeapon: has === 'yes' })}
        options={[{ id: 'yes', name: 'Yes', about: 'with a controller of its own' }, { id: 'no', name: 'No', about: 'drive alone' }]}
      />
      {now.hasWeapon ? <Value name="Rating of its controller" value={now.weapon} options={WEAPONS} read={readRating(now.weapon)} onSay={(weapon) => say({ weapon })} example="80 A" /> : null}
    </>
  );
}

export function Switches() {
  const now = typed.value;
  const links = now.isolators === 'links';
  return (
    <>
      <Choice
        name="What takes the power away" chosen={now.isolators} onChoose={(isolators) => say({ isolators })}
        options={[
          { id: 'main', name: 'One main switch', about: 'for everything' },
          { id: 'branch', name: 'An isolator a branch', about: 'drive and weapon apart', off: now.hasWeapon ? undefined : 'needs a weapon or arm' },
          { id: 'links', name: 'Removable links', about: 'pulled out by hand' },
        ]}
      />
      <Choice
        name="Soft start" chosen={softStartOf(now)} onChoose={(softStart) => say({ softStart })}
        options={[
          { id: 'suggest', name: 'Not sure', about: 'decided from a first estimate of the spark' },
          { id: 'none', name: 'None', about: 'usual for small machines' },
          { id: 'charge', name: 'A CHARGE position', about: 'OFF, CHARGE through a resistor, ON', off: links ? 'a link has no charge position' : undefined },
          { id: 'button', name: 'A push button and a resistor', about: 'hold the button, then close' },
        ]}
      />
      <details class="start-more" open={now.fuse !== '' || now.radioSupply !== 'converter'}>
        <summary>Fuse and radio supply</summary>
        <Value name="Main fuse" value={now.fuse} options={[]} read={readFuse(now.fuse)} onSay={(fuse) => say({ fuse })} example="150 A" optional="left empty: a size that fits the controllers" />
        <Choice
          name="What feeds the radio" chosen={now.radioSupply} onChoose={(radioSupply) => say({ radioSupply })}
          options={[{ id: 'converter', name: 'A DC-DC converter', about: 'on its own lead' }, { id: 'controller', name: 'A drive controller', about: 'by the supply inside it' }]}
        />
      </details>
    </>
  );
}
