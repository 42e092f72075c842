import { readMachine } from '../../machine/file/read.ts';
import { pointOf } from '../../machine/circuit/nets.ts';
import type { Chain } from '../../machine/machine.ts';
import { leadName } from '../../machine/rebuild/leads.ts';
import type { Owner } from '../../questions/replay/replay.ts';
import type { SituationLook } from '../../questions/states/look.ts';
import { formatValue } from '../../quantity/format.ts';
import { drawView, layView, type LaidView } from '../../sheets/drawing/drawing.ts';
import { chainKey, partNode, type Diagram, type DiagramEdge } from '../../sheets/drawing/graph.ts';
import type { ConductorState, Situation } from '../../sheets/drawing/situation.ts';
import { svgOf } from '../../sheets/drawing/svg.ts';
import type { Drawn, DrawRequest } from './messages.ts';
import { scope } from './scope.ts';

let known: { readonly text: string; readonly aspect: number; readonly laid: LaidView; readonly leads: Readonly<Record<string, string>> } | undefined;
/** One at a time, so that two requests for one text lay it out once. */
let queue: Promise<unknown> = Promise.resolve();

scope.onmessage = ({ data }) => {
  const { call, request } = data as { readonly call: number; readonly request: DrawRequest };
  queue = queue
    .then(() => draw(request))
    .then((answer) => scope.postMessage({ call, answer }))
    .catch((error: unknown) => scope.postMessage({ call, fault: error instanceof Error ? error.message : String(error) }));
};

async function draw({ text, aspect, situation, lit }: DrawRequest): Promise<Drawn | undefined> {
  if (known === undefined || known.text !== text || known.aspect !== aspect) {
    const file = readMachine(text);
    if (!file.ok) return undefined;
    const laid = await layView(file.machine, aspect);
    known = { text, aspect, laid, leads: leadNames(laid.diagram) };
  }
  const { laid, leads } = known;
  const path = lit.length === 0 ? {} : { path: new Set([...lit, ...Object.keys(leads).filter((edge) => lit.includes(leads[edge] ?? ''))]) };
  const sheet = drawView(laid, situation === undefined ? path : { ...situated(laid.diagram, situation), ...path });
  return { svg: svgOf(sheet, { id: 'machine', fluid: true }), leads, width_mm: sheet.width_mm, height_mm: sheet.height_mm };
}

function situated(diagram: Diagram, { named, look, words, figures }: NonNullable<DrawRequest['situation']>): Situation {
  const positions = new Map(Object.entries(named.positions));
  if (!look.solved) return { positions, words };
  const conductors = new Map<string, ConductorState>();
  for (const edge of diagram.edges) {
    const state = edge.role === 'supply' ? stateOf(diagram, edge, look) : undefined;
    if (state !== undefined) conductors.set(edge.id, state);
  }
  const failed = new Map(named.failures.map((failure): [string, string] => {
    const part = [...diagram.machine.parts.keys()].find((id) => failure.split(' ').includes(id)) ?? '';
    return [part, failure.slice(failure.indexOf(part) + part.length).trim()];
  }));
  return {
    positions,
    words,
    conductors,
    loads: new Map(look.loads.map(({ part, state }) => [part, state])),
    places: new Map(Object.entries(look.places).map(([point, { state }]) => [point, state])),
    voltages: new Map(Object.entries(look.places).map(([point, { volts_V }]) => [point, formatValue(Math.abs(volts_V) < 0.05 ? 0 : volts_V, 'voltage')])),
    ...(failed.size === 0 ? {} : { failed }),
    ...(figures.length === 0 ? {} : { figures: new Map(figures.map(({ owner, figures: own }) => [placeOf(owner), own])) }),
  };
}

/** How the drawing calls what a figure is of. */
function placeOf(owner: Owner): string {
  if ('part' in owner) return `part ${owner.part}`;
  if ('point' in owner) return `point ${owner.point}`;
  return `${chainKey({ role: owner.role, name: owner.chain })}${owner.item === undefined ? '' : `#${owner.item}`}`;
}

/** What the machine calls each lead of the drawing; the short one between a part and where several meet at it has no name. */
function leadNames(diagram: Diagram): Record<string, string> {
  const names: Record<string, string> = {};
  for (const edge of diagram.edges) {
    const chain = diagram.machine.wiring.chains.find((one) => chainKey(one) === edge.chain);
    if (chain === undefined || edge.id.endsWith('#joint')) continue;
    const item = edge.conductor === undefined ? -1 : chain.items.findIndex((one) => 'conductor' in one && one.conductor === edge.conductor);
    names[edge.id] = leadName({ chain, at: item >= 0 ? item : gapOf(diagram, edge, chain), conductor: item >= 0 ? edge.conductor : undefined });
  }
  return names;
}

/** The item before which a lead without a conductor lies. */
function gapOf(diagram: Diagram, edge: DiagramEdge, chain: Chain): number {
  const itemOf = (node: string): number => chain.items.findIndex((item) => 'part' in item && node === partNode(item.part));
  const [from, to] = [itemOf(edge.from.node), itemOf(edge.to.node)];
  const forward = drawnForward(diagram, edge, chain);
  if (to >= 0) return forward ? to : to + 1;
  if (from >= 0) return forward ? from + 1 : from;
  return 0;
}

/** The chain's items lie between its states; an edge lies where its conductor is, or beside the part that it leaves or enters. */
function stateOf(diagram: Diagram, edge: DiagramEdge, look: SituationLook): ConductorState | undefined {
  const joint = /^(.+)#joint$/.exec(edge.id)?.[1];
  if (joint !== undefined) return look.places[joint]?.state;
  const states = look.conductors[edge.name];
  const chain = diagram.machine.wiring.chains.find(({ name, role }) => name === edge.name && role === 'supply');
  if (states === undefined || chain === undefined) return undefined;
  const conductor = /#(\d+)$/.exec(edge.id)?.[1];
  if (conductor !== undefined) return states[Number(conductor)];
  return states[gapOf(diagram, edge, chain)];
}

function drawnForward(diagram: Diagram, { chain: key }: DiagramEdge, chain: Chain): boolean {
  const first = diagram.edges.find((edge) => edge.chain === key && !edge.id.endsWith('#joint'))?.from.node ?? '';
  return first === ('part' in chain.from ? partNode(chain.from.part) : '') || first === `point ${pointOf(chain.from)}`;
}
