import type {
  ComingShot,
  HoldSummary,
  Note,
  Production,
  Puppet,
  Repair,
  Report,
  ShotRecord,
  Verdict,
} from "../model/index.ts";

// What is kept, and how it is asked for. Whoever keeps it is an adapter's business (adapters/).

/** The sheet of a shot. Its id is the shot's. */
export interface SheetRecord {
  readonly id: string;
  readonly shot: string;
  /** A sheet file: what a person gave, or what it was edited into. */
  readonly text: string;
  /** SHA-256 of the file it came from; null where it was made here. */
  readonly from: string | null;
  /** True where it was edited here since. */
  readonly edited: boolean;
  readonly changed: string;
}

/** The report that a shot shows. Its id is the shot's. Numbers are rounded as in a report file. */
export interface ReportRecord {
  readonly id: string;
  readonly shot: string;
  readonly report: Report;
  readonly changed: string;
}

/** A report in short, for the screens that look at many. Its id is the shot's; it is made again where it is missing. */
export interface HoldsRecord {
  readonly id: string;
  readonly shot: string;
  readonly version: number;
  readonly holds: readonly HoldSummary[];
}

/** A small picture of a frame: its id is "shot:frame". */
export interface Thumbnail {
  readonly id: string;
  readonly shot: string;
  readonly frame: number;
  readonly width: number;
  readonly height: number;
  /** "image/jpeg" */
  readonly type: string;
  readonly bytes: Uint8Array<ArrayBuffer>;
  readonly changed: string;
}

/** Where the frames of a shot lie: a handle of the browser's, which only it can read. Never exported. Its id is the shot's. */
export interface PlaceRecord {
  readonly id: string;
  readonly shot: string;
  readonly folder: string;
  readonly handle: unknown;
  readonly changed: string;
}

/** The workshop's own file and what was typed into its sums. There is one, "own". */
export interface WorkshopRecord {
  readonly id: string;
  readonly own: string;
  readonly fields: Readonly<Record<string, string>>;
  readonly units: string;
  readonly changed: string;
}

export interface Records {
  readonly production: Production;
  readonly shot: ShotRecord;
  readonly puppet: Puppet;
  readonly sheet: SheetRecord;
  readonly report: ReportRecord;
  readonly holds: HoldsRecord;
  readonly verdict: Verdict;
  readonly note: Note;
  readonly repair: Repair;
  readonly coming: ComingShot;
  readonly thumbnail: Thumbnail;
  readonly workshop: WorkshopRecord;
  readonly place: PlaceRecord;
}
export type Kind = keyof Records;

/** In the order in which they are written and told. */
export const kinds = [
  "production",
  "shot",
  "puppet",
  "sheet",
  "report",
  "holds",
  "verdict",
  "note",
  "repair",
  "coming",
  "thumbnail",
  "workshop",
  "place",
] as const satisfies readonly Kind[];

/** A record with how often it was written: whoever writes it says which one they saw. */
export interface Kept<T> {
  readonly value: T;
  readonly revision: number;
}

/** The revision that was seen: 0, there was none; "any": whatever is there, for what is made from something else. */
export type Seen = number | "any";

export type Change =
  | { readonly [K in Kind]: { readonly kind: K; readonly value: Records[K]; readonly seen: Seen } }[Kind]
  | { readonly kind: Kind; readonly remove: string; readonly seen: Seen };

export interface Touched {
  readonly kind: Kind;
  readonly id: string;
  /** Of the shot or production it belongs to; null where it belongs to none. */
  readonly shot: string | null;
  readonly revision: number;
}

export type Written =
  | { readonly ok: true; readonly touched: readonly Touched[] }
  /** Somebody else wrote these since they were seen. Nothing was written. */
  | { readonly ok: false; readonly code: "changed"; readonly conflicts: readonly Touched[] }
  /** The disk, or the share of it that the browser gives, is full. Nothing was written. */
  | { readonly ok: false; readonly code: "full"; readonly detail: string }
  | { readonly ok: false; readonly code: "failed"; readonly detail: string };

/** A record that is there and can't be read: it is left as it is. */
export interface Unread {
  readonly kind: Kind;
  readonly id: string;
  readonly reason: string;
}

export interface Store {
  read<K extends Kind>(kind: K, id: string): Promise<Kept<Records[K]> | null>;
  /** All of a kind, or those of one shot (records of a shot) or one production (shots, puppets, repairs, shots to come). */
  list<K extends Kind>(
    kind: K,
    of?: { readonly shot?: string; readonly production?: string },
  ): Promise<Kept<Records[K]>[]>;
  /** Ids of all of a kind. */
  ids(kind: Kind): Promise<readonly string[]>;
  /** All or nothing, in one go. */
  write(changes: readonly Change[]): Promise<Written>;
  /** Removes a shot with all that belongs to it. */
  removeShot(id: string): Promise<Written>;
  /** Removes everything. */
  wipe(): Promise<void>;
  /** Told after every write, of this page and of others; `own` where this page wrote. Gives a way to stop it. */
  listen(listener: (touched: readonly Touched[], own: boolean) => void): () => void;
  /** What was met and could not be read since the store was opened. */
  unread(): readonly Unread[];
  close(): void;
}
