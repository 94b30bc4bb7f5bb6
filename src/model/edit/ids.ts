/** An id made of a name: "Left arm" is left-arm; numbered where that is taken. */
export const idFor = (name: string, taken: readonly string[], fallback: string): string => {
  const plain = name
    .normalize("NFKD")
    .replace(/\p{M}/gu, "")
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, "-")
    .replace(/^-+|-+$/gu, "");
  const base = plain === "" ? fallback : plain;
  if (!taken.includes(base)) return base;
  for (let number = 2; ; number++) if (!taken.includes(`${base}-${number}`)) return `${base}-${number}`;
};

/** A name that no other one of the list has: "Part", "Part 2". */
export const nameFor = (base: string, taken: readonly string[]): string => {
  if (!taken.includes(base)) return base;
  for (let number = 2; ; number++) if (!taken.includes(`${base} ${number}`)) return `${base} ${number}`;
};
