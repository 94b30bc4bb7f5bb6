// What .scripts/browser-tests.mjs hands to every browser test: inject("address"), inject("chromium").
import "vitest";

declare module "vitest" {
  export interface ProvidedContext {
    /** Where the built page is served, with a slash at the end. */
    address: string;
    /** Path of the browser's program. */
    chromium: string;
  }
}
