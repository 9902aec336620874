// Every view by keyboard, zoom, touch and ear: a suite of its own, because it opens each of them in a real Chromium.
import { suite } from "../suite.ts";

export default suite("reach", {
  testTimeout: 60_000,
  hookTimeout: 60_000,
});
