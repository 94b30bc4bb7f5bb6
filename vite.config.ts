import path from "node:path";
import react from "@vitejs/plugin-react";
import type { Plugin } from "vite";
import { defineConfig } from "vitest/config";
import { kernels } from "./.scripts/kernels.mjs";
import { metaPolicy } from "./.scripts/policy.mjs";
import { sampleShots } from "./.scripts/sample-plugin.mjs";

const root = import.meta.dirname;
const at = (...parts: string[]): string => path.join(root, ...parts);

/** The page carries its content security policy itself too, for whoever serves dist/ by other means. */
const policyInPage: Plugin = {
  name: "policy-in-page",
  apply: "build",
  transformIndexHtml: () => [
    { tag: "meta", attrs: { "http-equiv": "Content-Security-Policy", content: metaPolicy }, injectTo: "head-prepend" },
  ],
};

// `vite build` makes the page in dist/, `vite build --ssr` the command line in dist/cli/: page first, since it
// empties dist/. Tests keep the project folder as their root.
export default defineConfig(({ isSsrBuild }) => ({
  root: process.env["VITEST"] === undefined ? at("src") : root,
  base: "./",
  cacheDir: at(".cache", "vite"),
  publicDir: isSsrBuild ? (false as const) : "public",
  plugins: [kernels(), react(), policyInPage, ...(isSsrBuild ? [] : [sampleShots()])],
  worker: { format: "es" as const, plugins: () => [kernels()] },
  build: isSsrBuild
    ? {
        outDir: at("dist", "cli"),
        emptyOutDir: true,
        target: "node20",
        ssr: true,
        ssrEmitAssets: true,
        assetsInlineLimit: 0,
        rolldownOptions: {
          input: {
            holdfast: at("src", "cli", "holdfast.ts"),
            measure: at("workers", "node", "measure.ts"),
            judge: at("workers", "node", "judge.ts"),
          },
          output: { entryFileNames: "[name].js", chunkFileNames: "[name]-[hash].js" },
        },
      }
    : {
        outDir: at("dist"),
        emptyOutDir: true,
        target: "es2022",
        assetsInlineLimit: 0,
        // It is read from this machine, not over a network.
        chunkSizeWarningLimit: 2000,
      },
  // Everything goes into the built files but what is native.
  ssr: { noExternal: true as const, external: ["sharp"] },
  test: {
    projects: [
      {
        extends: true as const,
        test: { name: "unit", root, include: ["test/{unit,reference}/**/*.test.{ts,tsx}"], testTimeout: 30_000 },
      },
      {
        extends: true as const,
        test: {
          name: "browser",
          root,
          include: ["test/browser/**/*.test.ts"],
          globalSetup: [at(".scripts", "browser-tests.mjs")],
          testTimeout: 180_000,
          hookTimeout: 60_000,
          fileParallelism: false,
        },
      },
    ],
  },
}));
