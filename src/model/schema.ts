import * as z from "zod";
import { degrees, frameNumber, px } from "../units/index.ts";

// Without this the library tries to compile its checks with `new Function`, which the page's content
// security policy refuses and reports in the console.
z.config({ jitless: true });

export { z };

/** Largest coordinate, px, that is taken for one: fifty times the width of the widest camera there is. */
export const COORDINATE_LIMIT = 1_000_000;

/** `+ 0` turns minus zero into zero, so that what is written and read again is the same. */
const plain = (value: number): number => value + 0;

export const finite = z.number().transform(plain);
export const positive = z.number().positive();
export const count = z.int().positive();
/** Frames a second. */
export const frameRate = z.number().min(1).max(120);
export const text = z.string();
/** A name or an id: at least one character that isn't a space. */
export const name = z.string().regex(/\S/u);

export const frame = z.int().nonnegative().transform(frameNumber);
export const coordinate = z
  .number()
  .min(-COORDINATE_LIMIT)
  .max(COORDINATE_LIMIT)
  .transform((value) => px(plain(value)));
export const point = z.tuple([coordinate, coordinate]);
export const ring = z.array(point).min(3);
export const tilt = z
  .number()
  .min(-90)
  .max(90)
  .transform((value) => degrees(plain(value)));

/** Where a file may leave the key out or write null: null inside. */
export const orNull = <Schema extends z.ZodType>(schema: Schema) => schema.nullable().default(null);

type WithoutIndex<T> = { readonly [K in keyof T as string extends K ? never : K]: Trusted<T[K]> };

/**
 * The inside type of a schema: read-only all the way down, and without the index signature that unknown
 * keys bring. Unknown keys are still there at run time, so that a file of a later minor extension is written back whole.
 */
export type Trusted<T> = T extends string | number | boolean | null | undefined
  ? T
  : T extends readonly unknown[]
    ? { readonly [K in keyof T]: Trusted<T[K]> }
    : [keyof WithoutIndex<T>] extends [never]
      ? { readonly [K in keyof T]: Trusted<T[K]> }
      : WithoutIndex<T>;
