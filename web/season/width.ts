// The width that an element has now, so that a drawing's letters keep their size whatever the screen. It measures only.

import { useSignal } from "@preact/signals";
import type { RefObject } from "preact";
import { useEffect, useRef } from "preact/hooks";

/** A ref for the element and its width in CSS pixels; 0 before the first layout. */
export function useWidth<E extends Element>(): { readonly ref: RefObject<E>; readonly width: number } {
  const ref = useRef<E>(null);
  const width = useSignal(0);
  useEffect(() => {
    const element = ref.current;
    if (element === null) return;
    const observer = new ResizeObserver(([entry]) => {
      if (entry !== undefined) width.value = Math.floor(entry.contentRect.width);
    });
    observer.observe(element);
    return () => observer.disconnect();
  }, [width]);
  return { ref, width: width.value };
}
