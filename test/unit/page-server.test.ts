import { mkdir, mkdtemp, rm, symlink, writeFile } from "node:fs/promises";
import { request } from "node:http";
import { tmpdir } from "node:os";
import path from "node:path";
import { pathToFileURL } from "node:url";
import { afterAll, beforeAll, expect, test } from "vitest";

// The server behind `npm start` and the browser tests. It is a script that runs before anything is installed.

interface Served {
  readonly address: string;
  stop(): Promise<void>;
}
type Serve = (options: { folder: string; port: number; orNext?: boolean }) => Promise<Served>;

let serve: Serve;
let folder = "";
let served: Served;

beforeAll(async () => {
  const script = path.resolve(import.meta.dirname, "../../.scripts/server.mjs");
  ({ serve } = (await import(pathToFileURL(script).href)) as { serve: Serve });
  const outer = await mkdtemp(path.join(tmpdir(), "holdfast-server-"));
  folder = path.join(outer, "dist");
  await mkdir(path.join(folder, "assets"), { recursive: true });
  await writeFile(path.join(outer, "secret.txt"), "unreleased");
  await symlink(path.join(outer, "secret.txt"), path.join(folder, "link.txt"));
  await writeFile(path.join(folder, "index.html"), "<!doctype html>");
  for (const name of ["a.js", "a.wasm", "a.woff2", "opencv-1a2b.js"])
    await writeFile(path.join(folder, "assets", name), "x");
  served = await serve({ folder, port: 0 });
});
afterAll(async () => {
  await served.stop();
  await rm(path.dirname(folder), { recursive: true });
});

const get = (where: string, options: { method?: string; host?: string } = {}) =>
  new Promise<{ status: number; headers: Record<string, unknown>; body: string }>((resolve, reject) => {
    const { port } = new URL(served.address);
    const headers = options.host === undefined ? {} : { host: options.host };
    request({ host: "127.0.0.1", port, path: where, method: options.method ?? "GET", headers }, (response) => {
      let body = "";
      response.on("data", (chunk: Buffer) => {
        body += chunk.toString();
      });
      response.on("end", () => resolve({ status: response.statusCode ?? 0, headers: response.headers, body }));
    })
      .on("error", reject)
      .end();
  });

test("files come with the type that a browser needs", async () => {
  expect((await get("/")).headers).toMatchObject({ "content-type": "text/html; charset=utf-8" });
  expect((await get("/assets/a.js?v=1")).headers).toMatchObject({ "content-type": "text/javascript; charset=utf-8" });
  expect((await get("/assets/a.wasm")).headers).toMatchObject({ "content-type": "application/wasm" });
  expect((await get("/assets/a.woff2")).headers).toMatchObject({ "content-type": "font/woff2" });
});

test("every file carries a policy that lets nothing but this origin in; OpenCV's worker alone may build code from text", async () => {
  for (const where of ["/", "/assets/a.js", "/assets/a.wasm"]) {
    const policy = String((await get(where)).headers["content-security-policy"]);
    expect(policy).toContain("default-src 'none'");
    expect(policy).toContain("script-src 'self' 'wasm-unsafe-eval';");
    expect(policy).not.toContain(" 'unsafe-eval'");
    expect(policy).not.toMatch(/unsafe-inline|https?:|\*/);
  }
  const opencv = String((await get("/assets/opencv-1a2b.js")).headers["content-security-policy"]);
  expect(opencv).toContain("'unsafe-eval'");
  expect(opencv).not.toMatch(/unsafe-inline|https?:|\*/);
});

test("nothing outside the folder is served, by dots, by coded dots or by a link", async () => {
  for (const where of [
    "/../secret.txt",
    "/%2e%2e/secret.txt",
    "/..%2fsecret.txt",
    "/link.txt",
    "/assets",
    "/%00",
    "/%",
  ]) {
    const { status, body } = await get(where);
    expect([where, status]).toEqual([where, 404]);
    expect(body).not.toContain("unreleased");
  }
});

test("a name elsewhere that was made to point here gets nothing, nor does anything but reading", async () => {
  expect((await get("/", { host: "evil.example" })).status).toBe(421);
  expect((await get("/", { method: "POST" })).status).toBe(405);
  expect((await get("/", { method: "HEAD" })).body).toBe("");
});

test("a port that is taken is left for the next one, or refused where it was asked for", async () => {
  const port = Number(new URL(served.address).port);
  const next = await serve({ folder, port, orNext: true });
  expect(Number(new URL(next.address).port)).toBeGreaterThan(port);
  await next.stop();
  await expect(serve({ folder, port })).rejects.toMatchObject({ code: "EADDRINUSE" });
});
