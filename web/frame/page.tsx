// The frame around every view: whose feedpoint this is, whether it is simulated, how old the data are, and the reader's
// choices. Navigation shows the views that exist; with a single one there is nothing to choose.

import type { ReadonlySignal } from "@preact/signals";
import type { ComponentType } from "preact";
import { AccessBadge } from "../access/badge.tsx";
import { AccessContext } from "../access/context.tsx";
import { LoginDialog, LoginForm } from "../access/login.tsx";
import type { Store } from "../store.ts";
import { accessWords } from "../strings/access.ts";
import { strings } from "../strings.ts";
import { Age } from "./age.tsx";
import { AlarmCall } from "./alarm-call.tsx";
import { Newer } from "./newer.tsx";
import { Settings } from "./settings.tsx";

export type View = {
  readonly path: string;
  readonly name: string;
  readonly Body: ComponentType<{ readonly store: Store }>;
};

type PageProps = {
  readonly store: Store;
  readonly views: readonly View[];
  readonly current: View;
  /** A newer page than this one is served. */
  readonly newer: ReadonlySignal<boolean>;
};

function Navigation({ views, current }: Pick<PageProps, "views" | "current">) {
  if (views.length < 2) return null;
  return (
    <nav aria-label={strings.views}>
      {views.map(({ path, name }) => (
        <a key={path} href={`#${path}`} aria-current={path === current.path ? "page" : undefined}>
          {name}
        </a>
      ))}
    </nav>
  );
}

function Footer({ store }: { readonly store: Store }) {
  const { about, frame } = store.model.value;
  if (about === null || frame === null) return null;
  const figures = store.figures.value;
  const words = strings.footer;
  const degrees = (celsius: number): string => {
    const { number, unit } = figures.temperature(celsius, 0);
    return `${number}\u00a0${unit}`;
  };
  const zone = store.preferences.value.clock === "utc" ? words.utc : words.local;
  const facts = [
    words.limit(degrees(about.limit_celsius), degrees(about.reduce_celsius)),
    frame.calibration === "calibrated" ? words.calibrated : words.notCalibrated,
    words.time(figures.clock(frame.wall_seconds, true), zone),
    words.version(about.version),
  ];
  return (
    <footer>
      <ul>
        {facts.map((fact) => (
          <li key={fact}>{fact}</li>
        ))}
      </ul>
    </footer>
  );
}

/** In the place of every view while looking needs a login. */
function LookFirst({ store }: { readonly store: Store }) {
  return (
    <>
      <div class="headline">
        <h1>{accessWords.lookFirst}</h1>
      </div>
      <LoginForm desk={store.access} onDone={() => store.link.hurry()} />
    </>
  );
}

export function Page({ store, views, current, newer }: PageProps) {
  const { about } = store.model.value;
  const { Body } = current;
  const mayLook = store.access.access.value?.may.read !== false;
  return (
    <AccessContext.Provider value={store.access}>
      <a class="skip" href="#main">
        {strings.skip}
      </a>
      <header>
        <p class="product">{strings.product}</p>
        {about !== null && <p class="feedpoint">{about.name}</p>}
        {about?.simulated === true && <p class="simulated">{strings.simulated(about.speed)}</p>}
        <Navigation views={views} current={current} />
        <div class="header-end">
          {mayLook && <Age store={store} />}
          <AccessBadge desk={store.access} />
          <Settings store={store} />
        </div>
      </header>
      <Newer newer={newer} />
      <main id="main" tabIndex={-1}>
        {mayLook ? <Body store={store} /> : <LookFirst store={store} />}
      </main>
      <Footer store={store} />
      <AlarmCall store={store} />
      {store.access.open.value && <LoginDialog desk={store.access} />}
    </AccessContext.Provider>
  );
}
