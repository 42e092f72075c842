import { useEffect, useState } from 'preact/hooks';
import type { ComponentType } from 'preact';

/** A view, or a piece of one, with a name for as long as it is on its way. */
export interface Later {
  readonly id: string;
  readonly name: string;
  readonly load: () => Promise<ComponentType>;
}

/** What has been loaded once is there at once. */
const known = new Map<string, ComponentType>();

/** A view that comes when it is first shown. */
export function Late({ view }: { readonly view: Later }) {
  const [, shown] = useState<string>();
  const Component = known.get(view.id);
  useEffect(() => {
    if (known.has(view.id)) return;
    void view.load().then((component) => {
      known.set(view.id, component);
      shown(view.id);
    });
  }, [view]);
  return Component === undefined ? <p class="waiting">{view.name} …</p> : <Component />;
}
