/** A real minus sign, which is as wide as a digit in tabular figures. */
const MINUS = "\u2212";

export const fixed = (value: number, decimals: number): string => {
  const text = Math.abs(value).toFixed(decimals);
  return value < 0 && Number(text) !== 0 ? `${MINUS}${text}` : text;
};

/** Decimals that a value with this uncertainty deserves: one figure of the uncertainty, two where it begins with 1. */
export function decimalsFor(sigma: number): number {
  if (!(sigma > 0)) return 2;
  const power = Math.floor(Math.log10(sigma));
  const leading = sigma / 10 ** power;
  return Math.min(4, Math.max(0, -power + (leading < 1.95 ? 1 : 0)));
}

/** "1.93 ± 0.01 px"; without an uncertainty "1.93 px". */
export function measured(value: number, sigma: number | null, unit: string): string {
  if (sigma === null || !(sigma > 0)) return `${fixed(value, 2)} ${unit}`;
  const decimals = decimalsFor(sigma);
  return `${fixed(value, decimals)} ± ${fixed(sigma, decimals)} ${unit}`;
}

const units = ["No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine"];

export const spelled = (count: number): string => units[count] ?? String(count);

export const counted = (count: number, one: string, many = `${one}s`): string => `${count} ${count === 1 ? one : many}`;

/** "4 s", "2 min 10 s", "1 h 5 min". */
export function duration(seconds: number): string {
  const whole = Math.max(0, Math.round(seconds));
  if (whole < 60) return `${whole} s`;
  if (whole < 3600) return `${Math.floor(whole / 60)} min ${whole % 60} s`;
  return `${Math.floor(whole / 3600)} h ${Math.round((whole % 3600) / 60)} min`;
}

const ways = ["right", "down and right", "down", "down and left", "left", "up and left", "up", "up and right"];

/** A direction in the picture in words: x right, y down. */
export const way = (direction: readonly [number, number]): string =>
  ways[((Math.round(Math.atan2(direction[1], direction[0]) / (Math.PI / 4)) % 8) + 8) % 8]!;

/** "frames 3, 5 to 9 and 12". */
export function frameList(frames: readonly number[], every: readonly number[] = frames): string {
  const runs: [number, number][] = [];
  for (const frame of frames) {
    const last = runs.at(-1);
    const before = every[every.indexOf(frame) - 1];
    if (last && (last[1] === before || last[1] === frame - 1)) last[1] = frame;
    else runs.push([frame, frame]);
  }
  const texts = runs.map(([a, b]) => (a === b ? `${a}` : `${a} to ${b}`));
  const last = texts.pop() ?? "";
  return `${frames.length === 1 ? "frame" : "frames"} ${texts.length ? `${texts.join(", ")} and ${last}` : last}`;
}
