// A small server of the built page, on this machine alone.
import { createReadStream } from "node:fs";
import { realpath, stat } from "node:fs/promises";
import { createServer } from "node:http";
import path from "node:path";
import { policyOf } from "./policy.mjs";

const types = {
  ".html": "text/html; charset=utf-8",
  ".js": "text/javascript; charset=utf-8",
  ".mjs": "text/javascript; charset=utf-8",
  ".css": "text/css; charset=utf-8",
  ".json": "application/json; charset=utf-8",
  ".wasm": "application/wasm",
  ".woff2": "font/woff2",
  ".woff": "font/woff",
  ".svg": "image/svg+xml",
  ".png": "image/png",
  ".jpg": "image/jpeg",
  ".jpeg": "image/jpeg",
  ".ico": "image/x-icon",
  ".webmanifest": "application/manifest+json",
  ".txt": "text/plain; charset=utf-8",
  ".map": "application/json; charset=utf-8",
};

/** The file under `folder` that an address asks for; null where there is none, or where it leads outside. */
const fileOf = async (folder, address) => {
  let wanted;
  try {
    wanted = decodeURIComponent(new URL(address, "http://127.0.0.1").pathname);
  } catch {
    return null;
  }
  if (wanted.includes("\0")) return null;
  const file = path.join(folder, wanted.endsWith("/") ? `${wanted}index.html` : wanted);
  try {
    const real = await realpath(file);
    if (!real.startsWith(folder + path.sep)) return null;
    const status = await stat(real);
    return status.isFile() ? { real, size: status.size } : null;
  } catch {
    return null;
  }
};

/**
 * Serves `folder` on 127.0.0.1 at `port`, or, where `port` is taken and `orNext` is set, at the next free one of 50.
 * Port 0: any free one. Resolves with the address and a way to stop.
 */
export const serve = async ({ folder, port, orNext = false }) => {
  const base = await realpath(folder);
  /** Where the server listens; 0 until it does. */
  let own = 0;
  const server = createServer((request, response) => {
    void (async () => {
      // A page elsewhere that has its name point here must not read what is served.
      const host = request.headers.host ?? "";
      const known = host === `127.0.0.1:${own}` || host === `localhost:${own}`;
      if (!known || (request.method !== "GET" && request.method !== "HEAD")) {
        response.writeHead(known ? 405 : 421, { "content-type": "text/plain" }).end();
        return;
      }
      const found = await fileOf(base, request.url ?? "/");
      if (found === null) {
        response.writeHead(404, { "content-type": "text/plain; charset=utf-8" }).end("There is nothing here.\n");
        return;
      }
      const name = path.relative(base, found.real);
      response.writeHead(200, {
        "content-type": types[path.extname(name).toLowerCase()] ?? "application/octet-stream",
        "content-length": found.size,
        "content-security-policy": policyOf(name),
        "cross-origin-opener-policy": "same-origin",
        "cross-origin-embedder-policy": "require-corp",
        "cross-origin-resource-policy": "same-origin",
        "referrer-policy": "no-referrer",
        "x-content-type-options": "nosniff",
        "cache-control": name.startsWith(`assets${path.sep}`) ? "max-age=31536000, immutable" : "no-cache",
      });
      if (request.method === "HEAD") response.end();
      else
        createReadStream(found.real)
          .on("error", () => response.destroy())
          .pipe(response);
    })();
  });
  const listen = (at) =>
    new Promise((resolve, reject) => {
      server.once("error", reject);
      server.listen(at, "127.0.0.1", () => {
        server.off("error", reject);
        const at = server.address();
        own = typeof at === "object" && at !== null ? at.port : 0;
        resolve(undefined);
      });
    });
  const stop = () =>
    new Promise((resolve) => {
      server.close(resolve);
      server.closeAllConnections();
    });
  for (let at = port; ; at++) {
    try {
      await listen(at);
      return { address: `http://127.0.0.1:${own}/`, stop };
    } catch (error) {
      if (!(error instanceof Error && "code" in error && error.code === "EADDRINUSE") || !orNext || at >= port + 50)
        throw error;
    }
  }
};
