import type { ComponentType } from 'preact';

/** One of the things that the page can show; its id is the first word of the address. */
export interface View {
  readonly id: string;
  readonly name: string;
  /**
   * `side`: on a laptop it stands beside the drawing. `pane`: on a laptop it is always there, on a phone it is one of the
   * switch. `whole`: it takes the whole screen, with its own way back.
   */
  readonly place: 'side' | 'pane' | 'whole';
  /** Whether the switch at the bottom of a phone leads to it. */
  readonly onPhone: boolean;
  readonly load: () => Promise<ComponentType>;
}

/** Every view is registered here; each comes when it is first shown. */
export const VIEWS: readonly View[] = [
  { id: 'questions', name: 'Questions', place: 'side', onPhone: true, load: async () => (await import('./questions/questions.tsx')).Questions },
  { id: 'drawing', name: 'Drawing', place: 'pane', onPhone: true, load: async () => (await import('./drawing/drawing-pane.tsx')).DrawingPane },
  { id: 'hand', name: 'In hand', place: 'pane', onPhone: true, load: async () => (await import('./hand/hand.tsx')).Hand },
  { id: 'file', name: 'File', place: 'side', onPhone: true, load: async () => (await import('./file/file-editor.tsx')).FileEditor },
  { id: 'machines', name: 'Machines', place: 'side', onPhone: false, load: async () => (await import('./file/machines.tsx')).Machines },
  { id: 'crew', name: 'Crew', place: 'whole', onPhone: true, load: async () => (await import('./crew/crew.tsx')).Crew },
  { id: 'start', name: 'New machine', place: 'whole', onPhone: false, load: async () => (await import('./start/start.tsx')).Start },
  { id: 'papers', name: 'Papers', place: 'whole', onPhone: false, load: async () => (await import('./papers/papers.tsx')).Papers },
  { id: 'compare', name: 'Compare', place: 'whole', onPhone: false, load: async () => (await import('./compare/compare.tsx')).Compare },
];
