import { openStore } from "../../store/adapters/indexed-db/indexed-db.ts";
import type { Kind, Kept, Records, Store, Unread } from "../../store/port.ts";
import { addNotice } from "./session.ts";
import { createStore } from "./store.ts";

/** Two pages changed one thing: this page's version, which isn't kept yet, and the other's, which is. */
export interface Clash {
  readonly kind: Kind;
  readonly id: string;
  /** "the sheet of hive_010" */
  readonly what: string;
}

interface Storage {
  /** "closed": this browser keeps nothing for this page, for the reason given. */
  readonly phase: "opening" | "open" | "closed";
  readonly reason: string;
  /** Whether all that was entered is kept: "full" and "failed" are tried again. */
  readonly saving: "saved" | "saving" | "full" | "failed";
  readonly clashes: readonly Clash[];
  readonly unread: readonly Unread[];
}

/** How the store is. What is in it is asked for (see opened). */
export const storage = createStore<Storage>({
  phase: "opening",
  reason: "",
  saving: "saved",
  clashes: [],
  unread: [],
});

let settle: (store: Store | null) => void = () => {};
/** The store once it is open; null where this browser keeps nothing for this page. */
export const opened: Promise<Store | null> = new Promise((resolve) => {
  settle = resolve;
});

/** Says once what the store has and this version can't read. */
function tellUnread(store: Store): void {
  const unread = store.unread();
  if (unread.length === storage.get().unread.length) return;
  storage.set({ unread });
  addNotice("Something that was kept can't be read", [
    ...unread.map(({ kind, id, reason }) => `${kind} ${id}: ${reason}. It is left as it is.`),
  ]);
}

/** Opens the store, as long as the page is open. */
export function openStorage(): void {
  const lost = (reason: string) => {
    storage.set({ phase: "closed", reason });
    addNotice("Nothing is kept any more", [`The store is closed: ${reason}. Save the sheet and the report as files.`]);
  };
  openStore({ onLost: lost }).then(
    (store) => {
      storage.set({ phase: "open" });
      settle(store);
    },
    (error: unknown) => {
      storage.set({ phase: "closed", reason: error instanceof Error ? error.message : String(error) });
      settle(null);
    },
  );
}

/** Everything of a kind, or nothing where nothing is kept. */
export async function listKept<K extends Kind>(
  kind: K,
  of?: { readonly shot?: string; readonly production?: string },
): Promise<Kept<Records[K]>[]> {
  const store = await opened;
  if (!store) return [];
  const list = await store.list(kind, of);
  tellUnread(store);
  return list;
}

export async function readKept<K extends Kind>(kind: K, id: string): Promise<Kept<Records[K]> | null> {
  const store = await opened;
  if (!store) return null;
  const kept = await store.read(kind, id);
  tellUnread(store);
  return kept;
}
