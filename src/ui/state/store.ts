import { useSyncExternalStore } from "react";

/** A value outside React that components can listen to; canvases listen to it without React. */
export interface Store<T> {
  get(): T;
  set(change: Partial<T>): void;
  listen(listener: () => void): () => void;
}

export function createStore<T extends object>(first: T): Store<T> {
  let value = first;
  const listeners = new Set<() => void>();
  return {
    get: () => value,
    set(change) {
      const keys = Object.keys(change) as (keyof T)[];
      if (keys.every((key) => Object.is(value[key], change[key]))) return;
      value = { ...value, ...change };
      for (const listener of [...listeners]) listener();
    },
    listen(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
  };
}

/** What `select` picks must be the same object as long as nothing in it changed. */
export const useStore = <T extends object, U>(store: Store<T>, select: (value: T) => U): U =>
  useSyncExternalStore(store.listen, () => select(store.get()));
