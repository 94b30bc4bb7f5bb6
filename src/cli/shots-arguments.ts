/** What every command over many shots is asked. */
export interface ShotsArguments {
  /** Report files, folders with some in them, or exports of the page. */
  readonly reports: readonly string[];
  /** An export that knows what was decided about them; null: none. */
  readonly store: string | null;
  /** Null: stdout. */
  readonly out: string | null;
}
