/** A number that is small enough to be written out at the head of a sentence. */
const units = ["No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine"];

export const spelled = (count: number): string => units[count] ?? String(count);
