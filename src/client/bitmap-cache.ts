import type { Answer } from "../protocol/index.ts";

/** Pictures that are drawn, and what goes with them, by address: a fixed budget of them kept, the oldest given up first. */
export interface BitmapCache<T extends { readonly bitmap: ImageBitmap }> {
  kept(key: string): T | null;
  /** The picture that is there, the one that is on its way, or one that `make` brings. */
  get(key: string, make: () => Promise<Answer<T>>): Promise<Answer<T>>;
  clear(): void;
}

export function createBitmapCache<T extends { readonly bitmap: ImageBitmap }>(budgetBytes: number): BitmapCache<T> {
  const kept = new Map<string, T>();
  const asked = new Map<string, Promise<Answer<T>>>();
  let generation = 0;
  const bytesOf = ({ bitmap }: T) => bitmap.width * bitmap.height * 4;

  const keep = (key: string, made: T) => {
    kept.get(key)?.bitmap.close();
    kept.delete(key);
    kept.set(key, made);
    let bytes = 0;
    for (const each of kept.values()) bytes += bytesOf(each);
    for (const [old, each] of kept) {
      if (bytes <= budgetBytes || kept.size <= 2) break;
      bytes -= bytesOf(each);
      each.bitmap.close();
      kept.delete(old);
    }
  };

  return {
    kept(key) {
      const there = kept.get(key) ?? null;
      if (there !== null) {
        // What is looked at is the last to go.
        kept.delete(key);
        kept.set(key, there);
      }
      return there;
    },
    get(key, make) {
      const there = kept.get(key);
      if (there) return Promise.resolve({ ok: true, value: there });
      const running = asked.get(key);
      if (running) return running;
      const of = generation;
      const answer = make().then((made): Answer<T> => {
        if (asked.get(key) === answer) asked.delete(key);
        if (!made.ok) return made;
        if (of !== generation) {
          made.value.bitmap.close();
          return { ok: false, code: "cancelled", detail: "Another shot was opened." };
        }
        keep(key, made.value);
        return made;
      });
      asked.set(key, answer);
      return answer;
    },
    clear() {
      generation += 1;
      for (const each of kept.values()) each.bitmap.close();
      kept.clear();
      asked.clear();
    },
  };
}
