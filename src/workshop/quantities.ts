// Units of the workshop's fields. Everything is worked out in metric; the other system is for reading and typing alone.

export type UnitSystem = "metric" | "imperial";

interface Quantity {
  readonly metric: string;
  readonly imperial: string;
  /** Metric units in one of the other; exact by definition of the inch, the pound and standard gravity. */
  readonly factor: number;
  /** Metric value of the other system's zero. */
  readonly offset?: number;
}

const OUNCE = 28.349523125;
const INCH = 25.4;

export const quantities = {
  mass: { metric: "g", imperial: "oz", factor: OUNCE },
  length: { metric: "mm", imperial: "in", factor: INCH },
  moment: { metric: "N mm", imperial: "ozf in", factor: (OUNCE / 1000) * 9.80665 * INCH },
  volume: { metric: "cm\u00b3", imperial: "in\u00b3", factor: (INCH / 10) ** 3 },
  density: { metric: "g/cm\u00b3", imperial: "oz/in\u00b3", factor: OUNCE / (INCH / 10) ** 3 },
  areaWeight: { metric: "g/m\u00b2", imperial: "oz/yd\u00b2", factor: OUNCE / 0.9144 ** 2 },
  temperature: { metric: "\u00b0C", imperial: "\u00b0F", factor: 5 / 9, offset: -160 / 9 },
  angle: { metric: "\u00b0", imperial: "\u00b0", factor: 1 },
  minutes: { metric: "min", imperial: "min", factor: 1 },
  hours: { metric: "h", imperial: "h", factor: 1 },
  percent: { metric: "%", imperial: "%", factor: 1 },
  parts: { metric: "parts", imperial: "parts", factor: 1 },
  ratio: { metric: "", imperial: "", factor: 1 },
  speed: { metric: "\u00b0 an hour", imperial: "\u00b0 an hour", factor: 1 },
} as const satisfies Record<string, Quantity>;
export type QuantityName = keyof typeof quantities;

export const unitOf = (name: QuantityName, system: UnitSystem): string => quantities[name][system];

/** A metric value in a system's unit. */
export function shownIn(value: number, name: QuantityName, system: UnitSystem): number {
  const { factor, offset = 0 }: Quantity = quantities[name];
  return system === "metric" ? value : (value - offset) / factor;
}

/** What was typed in a system's unit, metric. */
export function metricOf(value: number, name: QuantityName, system: UnitSystem): number {
  const { factor, offset = 0 }: Quantity = quantities[name];
  return system === "metric" ? value : value * factor + offset;
}

/** What a person typed as a number: a comma may stand for the point; NaN where it is none. */
export function typedNumber(text: string): number {
  const plain = text.trim().replace(",", ".").replace("\u2212", "-");
  return /^[-+]?(\d+\.?\d*|\.\d+)(e[-+]?\d+)?$/iu.test(plain) ? Number(plain) : Number.NaN;
}
