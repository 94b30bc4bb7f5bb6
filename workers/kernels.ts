import instantiate from "../src/measure/kernels/kernels.wasm?init";
import { heapWorkspace, KernelWorkspace, type Workspace } from "../src/measure/workspace.ts";

/** The page's types have it, Node's don't. */
declare const WebAssembly: { validate(bytes: Uint8Array): boolean };

/** The smallest module that holds a vector instruction: `(func (result v128) (i8x16.popcnt (i8x16.splat (i32.const 0))))`. */
const SMALLEST = Uint8Array.of(
  ...[0, 97, 115, 109, 1, 0, 0, 0, 1, 5, 1, 96, 0, 1, 123],
  ...[3, 2, 1, 0, 10, 10, 1, 8, 0, 65, 0, 253, 15, 253, 98, 11],
);

/** A workspace for this thread: with the kernels where WebAssembly has SIMD, else one for their TypeScript twins. */
export const openWorkspace = async (): Promise<Workspace> =>
  WebAssembly.validate(SMALLEST) ? new KernelWorkspace(await instantiate()) : heapWorkspace;
