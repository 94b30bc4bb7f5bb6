import type { Production, ShotRecord } from "../../model/index.ts";
import { listKept, opened } from "./storage.ts";
import { createStore } from "./store.ts";

interface Shots {
  /** False until the store was asked. */
  readonly known: boolean;
  /** The one that was open last comes first. */
  readonly shots: readonly ShotRecord[];
  readonly productions: readonly Production[];
}

/** The shots that are kept, as lists show them. */
export const shots = createStore<Shots>({ known: false, shots: [], productions: [] });

const lastUse = (shot: ShotRecord) => shot.opened ?? shot.changed;

async function ask(): Promise<void> {
  const [list, productions] = await Promise.all([listKept("shot"), listKept("production")]);
  shots.set({
    known: true,
    shots: list.map(({ value }) => value).toSorted((a, b) => (lastUse(a) < lastUse(b) ? 1 : -1)),
    productions: productions.map(({ value }) => value),
  });
}

/** Follows what is kept, by whichever page, as long as this one is open. */
export function keepShots(): void {
  void ask();
  let timer: ReturnType<typeof setTimeout> | undefined;
  void opened.then((store) =>
    store?.listen((touched) => {
      const isListed = touched.length === 0 || touched.some(({ kind }) => kind === "shot" || kind === "production");
      if (!isListed) return;
      clearTimeout(timer);
      timer = setTimeout(() => void ask(), 50);
    }),
  );
}
