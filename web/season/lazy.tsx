// Stands in for the view Season until its code has come: Now never carries it.

import { type Signal, signal } from "@preact/signals";
import type { ComponentType } from "preact";
import { useEffect } from "preact/hooks";
import type { Store } from "../store.ts";
import { strings } from "../strings.ts";

type Body = ComponentType<{ readonly store: Store }>;

/** A view whose code is fetched when it is first shown. */
export function lazySeason(): Body {
  const body: Signal<{ readonly Body: Body } | "missing" | null> = signal(null);
  return function LazySeason({ store }) {
    useEffect(() => {
      if (body.value !== null && body.value !== "missing") return;
      import("./season.tsx").then(
        ({ Season }) => {
          body.value = { Body: Season };
        },
        () => {
          body.value = "missing";
        },
      );
    }, []);
    const come = body.value;
    if (come === null || come === "missing") {
      return (
        <div class="headline tone-blind">
          <h1>{come === null ? strings.season.loading : strings.season.missing}</h1>
        </div>
      );
    }
    return <come.Body store={store} />;
  };
}
