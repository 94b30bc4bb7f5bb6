export type { Edited } from "./edited.ts";
export * from "./intents.ts";
export * from "./joints.ts";
export * from "./marks.ts";
export * from "./parts.ts";
export * from "./rings.ts";
export * from "./shot.ts";
export { touchedParts } from "./touched.ts";
