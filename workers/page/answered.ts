import { transfer } from "comlink";
import type { Answer } from "../../src/protocol/index.ts";

/** What was made, handed over, or why there is none: a sentence that names the file. */
export async function answered<T extends object>(
  file: string,
  make: () => Promise<T>,
  moved: (value: T) => Transferable[],
): Promise<Answer<T>> {
  try {
    const value = await make();
    return transfer({ ok: true, value }, moved(value));
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    return { ok: false, code: "frame-unreadable", detail: `${file} can't be shown: ${why}` };
  }
}
