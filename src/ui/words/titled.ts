/** An id as a name: "oda" becomes "Oda", "old_crow" "Old crow". */
export const titled = (id: string): string => id.charAt(0).toUpperCase() + id.slice(1).replace(/[-_]/gu, " ");
