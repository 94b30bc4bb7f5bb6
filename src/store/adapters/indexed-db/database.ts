import { type IDBPDatabase, openDB } from "idb";
import { kinds } from "../../port.ts";

/** A record as it lies in the database: with what it is found by. */
export interface Row {
  readonly id: string;
  readonly revision: number;
  /** Only where it belongs to one: a key that is missing is left out of its index. */
  readonly shot?: string;
  readonly production?: string;
  readonly value: unknown;
}

/** Of one kind a table, all alike: rows are given their types where they are read. */
export type Database = IDBPDatabase;

export const DATABASE = "holdfast";
/** Rises with a new table or index. What changes inside a record is the record's own business. */
export const DATABASE_VERSION = 1;

/** @param onLost called where the browser closes the database, or another page needs it in a later version */
export const openDatabase = (name: string, onLost: (reason: string) => void): Promise<Database> =>
  new Promise((resolve, reject) => {
    openDB(name, DATABASE_VERSION, {
      upgrade(database) {
        for (const kind of kinds) {
          if (database.objectStoreNames.contains(kind)) continue;
          const table = database.createObjectStore(kind, { keyPath: "id" });
          table.createIndex("shot", "shot");
          table.createIndex("production", "production");
        }
      },
      blocked() {
        reject(new Error("an older Holdfast is open in another tab; close it and load this page again"));
      },
      blocking(_current, _blocked, event) {
        // A later version waits for this page to let go.
        (event.target as IDBDatabase).close();
        onLost("a later Holdfast was opened in another tab; load this page again");
      },
      terminated() {
        onLost("the browser closed its storage");
      },
    }).then(resolve, reject);
  });
