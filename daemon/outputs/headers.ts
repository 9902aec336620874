// The headers of every answer: what browsers may do with the page, set by helmet. Nothing here depends on the request.

import type { RequestHandler } from "express";
import helmet from "helmet";

/**
 * No inline script or style, nothing from elsewhere, no frame around the page. `upgradeInsecureRequests` and HSTS are left off: the
 * page is also served without TLS, and whoever has TLS for this name decides for the whole host, not we.
 */
export function securityHeaders(): RequestHandler {
  const harden = helmet({
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'none'"],
        scriptSrc: ["'self'"],
        styleSrc: ["'self'"],
        imgSrc: ["'self'", "data:"],
        connectSrc: ["'self'"],
        manifestSrc: ["'self'"],
        workerSrc: ["'self'"],
        baseUri: ["'none'"],
        formAction: ["'none'"],
        frameAncestors: ["'none'"],
      },
    },
    strictTransportSecurity: false,
    xFrameOptions: { action: "deny" },
  });
  return (request, response, next) => {
    response.set("Cache-Control", "no-store");
    harden(request, response, next);
  };
}
