import type { Page } from "playwright";

/** Every row of every table of the page's store, by table, as plain numbers and words. */
export type StoredRows = Readonly<Record<string, readonly { readonly id: string; readonly value: unknown }[]>>;

/**
 * What the page has kept, read past its own code. Left out: how often a row was written, and the ways to frames, which are
 * handles of this browser and in no export.
 */
export const storedRows = (page: Page): Promise<StoredRows> =>
  page.evaluate(async () => {
    const settled = <T>(request: IDBRequest<T>) =>
      new Promise<T>((resolve, reject) => {
        request.addEventListener("success", () => resolve(request.result));
        request.addEventListener("error", () => reject(new Error("the store can't be read")));
      });
    /** Columns of numbers as lists; keys in one order, those without a value left out. */
    const plain = (value: unknown): unknown => {
      if (ArrayBuffer.isView(value))
        return [...(value as Float64Array)].map((number) => (Number.isNaN(number) ? null : number));
      if (Array.isArray(value)) return value.map(plain);
      if (typeof value !== "object" || value === null) return value;
      return Object.fromEntries(
        Object.entries(value)
          .filter(([, item]) => item !== undefined)
          .sort(([a], [b]) => (a < b ? -1 : 1))
          .map(([key, item]) => [key, plain(item)]),
      );
    };
    const database = await settled(indexedDB.open("holdfast"));
    const rows: Record<string, { readonly id: string; readonly value: unknown }[]> = {};
    for (const table of database.objectStoreNames) {
      if (table === "place") continue;
      const all = await settled(database.transaction(table).objectStore(table).getAll());
      rows[table] = (all as { readonly id: string; readonly value: unknown }[]).map(({ id, value }) => ({
        id,
        value: plain(value),
      }));
    }
    database.close();
    return rows;
  });
