// `run --overview` put together: a line to the broker that only listens, the table of what was heard, and the page's server.
// There is no hardware, no log and no way to command a feedpoint.

import type { Clock } from "../hardware/ports.ts";
import { READING } from "./access/caller.ts";
import { Refusals } from "./access/refusals.ts";
import { certificateOf } from "./config/certificate.ts";
import { brokerOf } from "./config/mqtt.ts";
import type { ReadOverview } from "./config/parse.ts";
import { RequestError } from "./config/problem.ts";
import { overviewWarnings } from "./exposure.ts";
import {
  type Certificate,
  type CertificateFiles,
  CertificateTrouble,
  followCertificate,
  readCertificate,
} from "./outputs/certificate.ts";
import { Door } from "./outputs/door.ts";
import { guardFor } from "./outputs/guard.ts";
import { listen } from "./outputs/listen.ts";
import { BrokerLink } from "./outputs/mqtt/broker-link.ts";
import { createOverviewSite } from "./outputs/overview/site.ts";
import { OverviewTable } from "./outputs/overview/table.ts";
import { loadPages } from "./outputs/pages.ts";
import { crowdWords, peerReader, proxiesIn } from "./outputs/peer.ts";
import { programVersion } from "./version.ts";

export type OverviewOptions = {
  readonly read: ReadOverview;
  readonly listen: { readonly host: string; readonly port: number };
  readonly clock: Clock;
  /** Folder of the built page. */
  readonly pages: string;
  /** A line about the page's certificate while it runs. */
  readonly say: (line: string) => void;
};

export type RunningOverview = {
  readonly address: string;
  /** What to know about who may look. */
  readonly warnings: readonly string[];
  stop(): Promise<void>;
};

const TABLE = ["overview", "listen"];

/**
 * Resolves when the page is served; the broker may come later.
 * @throws RequestError for what the config says wrong; ListenRefused for the address
 */
export async function startOverview({
  read,
  listen: at,
  clock,
  pages,
  say,
}: OverviewOptions): Promise<RunningOverview> {
  const { overview } = read;
  const table = new OverviewTable(overview.prefix, overview.feedpoints);
  const clientId = `emberwire-overview-${clock.bootId.slice(0, 8)}-${at.port}`;
  const settings = brokerOf(read.placeOf, "overview", overview, clientId);
  const files = certificateOf(overview.listen, read.placeOf, TABLE);
  let link: BrokerLink | null = null;
  const crowds = new Refusals(clock, say);
  const isProxy = proxiesIn(overview.listen.trusted_proxies);
  const site = createOverviewSite({
    clock,
    crowd: { isProxy, onCrowd: (address) => crowds.add(crowdWords(address)) },
    certificate: files === null ? null : certificateIn(read, files),
    // Whoever reaches the page may look; there is nothing to change.
    door: new Door({
      guard: guardFor(overview.listen.names),
      peerOf: peerReader(isProxy),
      callers: {
        standing: { operator: false, viewer: false, locked: false },
        caller: ({ address }) => ({ who: "guest", address, rights: READING, role: null, refused: false }),
      },
    }),
    mostClients: overview.listen.clients,
    pages: loadPages(pages, "overview.html"),
    table,
    version: programVersion(),
    most: overview.feedpoints,
    brokerTrouble: () => (link?.connected === true ? null : (link?.trouble ?? "not connected yet")),
  });
  const address = await listen(site.server, at);
  link = new BrokerLink({
    settings,
    clock,
    will: null,
    onOpen: (session) => {
      session.subscribe(table.filters).catch((error: unknown) => link?.fail(error));
    },
    onMessage: (arrival) => table.take(arrival, clock.monotonicSeconds()),
  });
  const unfollow = followCertificate(site.server, files, clock, say);
  const stop = async (): Promise<void> => {
    unfollow();
    crowds.close();
    site.close();
    await link?.close();
  };
  return { address, warnings: overviewWarnings({ host: at.host, encrypted: files !== null }), stop };
}

function certificateIn(read: ReadOverview, files: CertificateFiles): Certificate {
  try {
    return readCertificate(files);
  } catch (error) {
    if (!(error instanceof CertificateTrouble)) throw error;
    const [what, where] = [`${TABLE.join(".")}.${error.file}`, read.placeOf([...TABLE, error.file])];
    throw new RequestError([{ what, where, expected: error.expected, got: error.message }]);
  }
}
