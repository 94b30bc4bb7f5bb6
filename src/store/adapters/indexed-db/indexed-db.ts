import {
  type Change,
  type HoldsRecord,
  type Kept,
  type Kind,
  kinds,
  type Records,
  type ReportRecord,
  type Store,
  type Touched,
  type Unread,
  type Written,
} from "../../port.ts";
import { type PackedReport, packReport, unpackReport } from "../../pack-report.ts";
import { isChecked, readRecord } from "../../schemas.ts";
import { DATABASE, type Database, openDatabase, type Row } from "./database.ts";

// The store in the browser's IndexedDB. Every page of this origin has its own connection; who wrote what is told
// over a BroadcastChannel after the write is through.

/** Kinds that lie in a shot and go with it. */
const ofShots = kinds.filter((kind) => !["production", "puppet", "repair", "coming", "workshop"].includes(kind));

/** "shot" of a record that is one itself is its own id: it goes with the rest. */
const shotOf = <K extends Kind>(kind: K, value: Records[K]): string | null =>
  kind === "shot" ? value.id : "shot" in value && typeof value.shot === "string" ? value.shot : null;

const productionOf = (value: Records[Kind]): string | null =>
  "production" in value && typeof value.production === "string" ? value.production : null;

function rowOf<K extends Kind>(kind: K, value: Records[K], revision: number): Row {
  const [shot, production] = [shotOf(kind, value), productionOf(value)];
  const record: Records[Kind] = value;
  return {
    id: value.id,
    revision,
    ...(shot === null ? {} : { shot }),
    ...(production === null ? {} : { production }),
    value: kind === "report" ? { ...record, report: packReport((record as ReportRecord).report) } : record,
  };
}

/** @throws where the row can't be read, with the reason */
function valueOf<K extends Kind>(kind: K, row: Row): Records[K] {
  if (isChecked(kind)) {
    const read = readRecord(kind, row.value);
    if ("fault" in read) throw new Error(read.fault);
    return read.value;
  }
  if (kind === "report") {
    const kept = row.value as Omit<ReportRecord, "report"> & { readonly report: PackedReport };
    const record: ReportRecord = { ...kept, report: unpackReport(kept.report) };
    return record as Records[K];
  }
  const record = row.value as HoldsRecord;
  return record as Records[K];
}

const isFull = (error: unknown) => error instanceof DOMException && error.name === "QuotaExceededError";
const said = (error: unknown) => (error instanceof Error ? error.message : String(error));

/** What stopped a transaction: a conflict is no error, and the rest of the transaction has to be undone all the same. */
class Conflict extends Error {
  constructor(readonly conflicts: readonly Touched[]) {
    super("changed by another tab");
  }
}

export interface IndexedDbOptions {
  /** Of the database and of the channel between pages. */
  readonly name?: string;
  /** Told where the store can't be used any more. */
  readonly onLost?: (reason: string) => void;
}

/** @throws where the browser gives this page no storage, with the reason */
export async function openStore({ name = DATABASE, onLost = () => {} }: IndexedDbOptions = {}): Promise<Store> {
  const database: Database = await openDatabase(name, onLost);
  const channel = new BroadcastChannel(name);
  const listeners = new Set<(touched: readonly Touched[], own: boolean) => void>();
  const unread = new Map<string, Unread>();
  const tell = (touched: readonly Touched[], own: boolean) => {
    for (const listener of [...listeners]) listener(touched, own);
  };
  channel.addEventListener("message", (event: MessageEvent<readonly Touched[]>) => tell(event.data, false));

  function keptOf<K extends Kind>(kind: K, row: Row): Kept<Records[K]> | null {
    try {
      return { value: valueOf(kind, row), revision: row.revision };
    } catch (error) {
      unread.set(`${kind} ${row.id}`, { kind, id: row.id, reason: said(error) });
      return null;
    }
  }

  async function put(changes: readonly Change[]): Promise<readonly Touched[]> {
    const tables = [...new Set(changes.map(({ kind }) => kind))];
    const transaction = database.transaction(tables, "readwrite");
    // Whoever awaits `done` learns of an error; without this it would be unheard where a request fails first.
    transaction.done.catch(() => {});
    try {
      const conflicts: Touched[] = [];
      const touched = await Promise.all(
        changes.map(async (change): Promise<Touched> => {
          const { kind, seen } = change;
          const table = transaction.objectStore(kind);
          const id = "remove" in change ? change.remove : change.value.id;
          const there: Row | undefined = await table.get(id);
          const shot = "remove" in change ? (there?.shot ?? null) : shotOf(kind, change.value);
          const before = there?.revision ?? 0;
          // A record that is gone begins anew.
          const mark: Touched = { kind, id, shot, revision: "remove" in change ? 0 : before + 1 };
          if (seen !== "any" && before !== seen) conflicts.push({ ...mark, revision: before });
          else if ("remove" in change) await table.delete(id);
          else await table.put(rowOf(kind, change.value, mark.revision));
          return mark;
        }),
      );
      if (conflicts.length > 0) throw new Conflict(conflicts);
      await transaction.done;
      return touched;
    } catch (error) {
      try {
        transaction.abort();
      } catch {
        // It is over already.
      }
      // What ended the transaction says more than the request that was cut off by it.
      throw transaction.error ?? error;
    }
  }

  async function write(changes: readonly Change[]): Promise<Written> {
    if (changes.length === 0) return { ok: true, touched: [] };
    try {
      const touched = await put(changes);
      channel.postMessage(touched);
      tell(touched, true);
      return { ok: true, touched };
    } catch (error) {
      if (error instanceof Conflict) return { ok: false, code: "changed", conflicts: error.conflicts };
      return { ok: false, code: isFull(error) ? "full" : "failed", detail: said(error) };
    }
  }

  return {
    async read(kind, id) {
      const row: Row | undefined = await database.get(kind, id);
      return row === undefined ? null : keptOf(kind, row);
    },
    async list(kind, of = {}) {
      const rows: Row[] =
        of.shot !== undefined
          ? await database.getAllFromIndex(kind, "shot", of.shot)
          : of.production !== undefined
            ? await database.getAllFromIndex(kind, "production", of.production)
            : await database.getAll(kind);
      return rows.flatMap((row) => keptOf(kind, row) ?? []);
    },
    ids: (kind) => database.getAllKeys(kind) as Promise<string[]>,
    write,
    async removeShot(id) {
      const found = await Promise.all(
        ofShots.map(async (kind) => {
          const keys = (await database.getAllKeysFromIndex(kind, "shot", id)) as string[];
          return keys.map((key): Change => ({ kind, remove: key, seen: "any" }));
        }),
      );
      return write(found.flat());
    },
    async wipe() {
      const transaction = database.transaction([...kinds], "readwrite");
      await Promise.all([...kinds.map((kind) => transaction.objectStore(kind).clear()), transaction.done]);
      channel.postMessage([]);
      tell([], true);
    },
    listen(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    unread: () => [...unread.values()],
    close() {
      channel.close();
      database.close();
    },
  };
}
