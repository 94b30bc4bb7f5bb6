// What travels between the command line and one of its workers. (The page's workers speak through a library.)

export interface CallMessage {
  readonly id: number;
  readonly method: string;
  readonly args: readonly unknown[];
}

/** Of a call: something on the way, its answer, or that it threw. */
export type BackMessage =
  | { readonly id: number; readonly kind: "event"; readonly event: unknown }
  | { readonly id: number; readonly kind: "answer"; readonly answer: unknown }
  | { readonly id: number; readonly kind: "threw"; readonly detail: string };
