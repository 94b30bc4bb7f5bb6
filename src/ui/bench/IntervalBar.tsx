/** An interval on a scale from nothing to `most`: a bar from its low to its high end, a tick where the value is. */
export function IntervalBar({
  value,
  low,
  high,
  most,
  label,
  other = false,
}: {
  readonly value: number;
  /** Null: one alone has no interval. */
  readonly low: number | null;
  readonly high: number | null;
  readonly most: number;
  readonly label: string;
  /** The quieter of two that are compared. */
  readonly other?: boolean;
}) {
  const place = (at: number) => `${(Math.min(1, Math.max(0, most > 0 ? at / most : 0)) * 100).toFixed(2)}%`;
  const beyond = high !== null && high > most;
  return (
    <span className={`interval${other ? " other" : ""}`} role="img" aria-label={label}>
      {low !== null && high !== null && (
        <span
          className={beyond ? "interval-bar beyond" : "interval-bar"}
          style={{ left: place(low), right: `calc(100% - ${place(high)})` }}
        />
      )}
      <span className={low === null ? "interval-tick alone" : "interval-tick"} style={{ left: place(value) }} />
    </span>
  );
}
