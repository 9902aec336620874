// Stands in for a view until its code has come, so that Now and Alarms never carry the others. It knows no view.

import { type Signal, signal } from "@preact/signals";
import type { ComponentType } from "preact";
import { useEffect } from "preact/hooks";
import type { Store } from "../store.ts";
import { strings } from "../strings.ts";

type Body = ComponentType<{ readonly store: Store }>;

/** A view whose code is fetched when it is first shown, and again when it could not be had. */
export function lazy(load: () => Promise<Body>): Body {
  const body: Signal<{ readonly Body: Body } | "missing" | null> = signal(null);
  return function Lazy({ store }) {
    useEffect(() => {
      if (body.value !== null && body.value !== "missing") return;
      body.value = null;
      load().then(
        (Come) => {
          body.value = { Body: Come };
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
          <h1>{come === null ? strings.view.loading : strings.view.missing}</h1>
        </div>
      );
    }
    return <come.Body store={store} />;
  };
}
