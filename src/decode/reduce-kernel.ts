import type { Plane } from "../measure/plane.ts";
import { addressOf, type KernelWorkspace } from "../measure/workspace.ts";

// How reduce.ts calls the kernels: the same rows in the same order, to the bit.

/** See reduce.ts. */
interface Weighing {
  readonly table: Float64Array;
  readonly codes: number;
}
interface Coverage {
  readonly source: number;
  readonly reduced: number;
  readonly last: Int32Array;
  readonly inside: Float64Array;
  readonly left: Float64Array;
}
interface Layout {
  readonly stride: number;
  readonly green: number;
  readonly blue: number;
}

/** Source rows go to the kernels' memory this many bytes at a time: what fits beside them in a core's own cache. */
const STRIP_BYTES = 128 * 1024;

/** The weighing that lies in a workspace's memory; a shot has one. */
const tables = new WeakMap<KernelWorkspace, { readonly weighing: Weighing; readonly address: number }>();

function tableIn(workspace: KernelWorkspace, weighing: Weighing): number {
  const known = tables.get(workspace);
  if (known?.weighing === weighing) return known.address;
  if (known !== undefined) workspace.giveBack(known.address);
  const { table } = weighing;
  const address = workspace.allocate(table.length * 4);
  workspace.ints(address, table.length).set(table);
  tables.set(workspace, { weighing, address });
  return address;
}

/**
 * Takes the rows of a picture through the kernels' memory. `begin` gets a place of `extraBytes` there, and gives what is
 * called with the place of each row's light.
 */
function eachRow(
  workspace: KernelWorkspace,
  data: Uint8Array | Uint16Array,
  width: number,
  height: number,
  layout: Layout,
  weighing: Weighing,
  extraBytes: number,
  begin: (extra: number) => (values: number, y: number) => void,
): void {
  const table = tableIn(workspace, weighing);
  const wide = data.BYTES_PER_ELEMENT === 2;
  const rowBytes = width * layout.stride * data.BYTES_PER_ELEMENT;
  const rows = Math.max(1, Math.min(height, Math.floor(STRIP_BYTES / rowBytes)));
  const stripBytes = Math.ceil((rows * rowBytes) / 64) * 64;
  const valueBytes = Math.ceil(width / 16) * 64;
  const strip = workspace.scratch(stripBytes + valueBytes + extraBytes);
  const values = strip + stripBytes;
  const act = begin(values + valueBytes);
  const source = new Uint8Array(data.buffer, data.byteOffset, data.byteLength);
  for (let top = 0; top < height; top += rows) {
    const count = Math.min(rows, height - top);
    workspace.bytes(strip, count * rowBytes).set(source.subarray(top * rowBytes, (top + count) * rowBytes));
    for (let row = 0; row < count; row++) {
      workspace.kernels.lightRow(
        strip + row * rowBytes,
        wide ? 1 : 0,
        layout.stride,
        layout.green,
        layout.blue,
        table,
        weighing.codes,
        width,
        values,
      );
      act(values, top + row);
    }
  }
}

/** What `average` of reduce.ts does. */
export function averageByKernel(
  workspace: KernelWorkspace,
  data: Uint8Array | Uint16Array,
  width: number,
  height: number,
  layout: Layout,
  weighing: Weighing,
  across: Coverage,
  down: Coverage,
  total: number,
  plane: Plane,
): void {
  const sumBytes = Math.ceil(width / 8) * 64;
  const columns = Math.ceil(plane.width / 8) * 64;
  const out = addressOf(plane);
  const { kernels } = workspace;
  eachRow(workspace, data, width, height, layout, weighing, 2 * sumBytes + 3 * columns, (extra) => {
    let sum = extra;
    let next = sum + sumBytes;
    const inside = next + sumBytes;
    const left = inside + columns;
    const last = left + columns;
    workspace.bytes(sum, sumBytes).fill(0);
    workspace.doubles(inside, plane.width).set(across.inside);
    workspace.doubles(left, plane.width).set(across.left);
    workspace.ints(last, plane.width).set(across.last);
    let j = 0;
    return (values, y) => {
      if (y < down.last[j]) {
        kernels.addLight(values, width, down.source, sum);
        return;
      }
      kernels.shareLight(values, width, down.inside[j], sum, down.left[j], next);
      kernels.reduceLight(sum, last, inside, left, plane.width, across.source, total, out + j * plane.width * 4);
      [sum, next] = [next, sum];
      j++;
    };
  });
}

/** What `convert` of reduce.ts does. */
export function convertByKernel(
  workspace: KernelWorkspace,
  data: Uint8Array | Uint16Array,
  layout: Layout,
  weighing: Weighing,
  plane: Plane,
): void {
  const { width, height } = plane;
  const out = addressOf(plane);
  // Vectors run over a row's end into the next one, which is written after it.
  eachRow(workspace, data, width, height, layout, weighing, 0, () => (values, y) => {
    workspace.kernels.plainLight(values, width, out + y * width * 4);
  });
}
