import { useEffect, useState } from 'preact/hooks';

/** Width of an element, px; 0 until it has been measured. */
export function useWidth(place: { readonly current: HTMLElement | null }): number {
  const [width, setWidth] = useState(0);
  useEffect(() => {
    if (place.current === null) return;
    const observer = new ResizeObserver(([entry]) => setWidth(Math.round(entry?.contentRect.width ?? 0)));
    observer.observe(place.current);
    return () => observer.disconnect();
  }, [place]);
  return width;
}
