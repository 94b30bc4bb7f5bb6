// What a subset shows of a patch that slipped: it averages over its own width, so that a small patch shows too little.

/** Distance from the patch's middle to which it is tabulated, nodes, and entries a node. */
const FARTHEST = 8;
const FINE = 4;
/** Subsets are sampled so often a side. */
const SAMPLES = 7;

const tables = new Map<string, Float64Array>();

/**
 * Height of a patch of height 1 as a subset shows it at a distance from its middle: the mean over the subset's square.
 * @param radius, size, step of the patch, the subset's side and the distance of nodes, px
 * @param power of the profile (1 - (r / radius)^power)^2
 */
export function averaged(radius: number, power: number, size: number, step: number): (far: number) => number {
  const key = `${radius} ${power} ${size} ${step}`;
  const table = tables.get(key) ?? tabulated(radius, power, size, step);
  tables.set(key, table);
  return (far) => {
    const at = Math.min(table.length - 1.001, (FINE * far) / step);
    const k = Math.floor(at);
    return table[k] + (at - k) * (table[k + 1] - table[k]);
  };
}

function tabulated(radius: number, power: number, size: number, step: number): Float64Array {
  const table = new Float64Array(FINE * FARTHEST + 1);
  for (let k = 0; k < table.length; k++) {
    const far = (k * step) / FINE;
    let sum = 0;
    // Along an axis and along a diagonal the square lies differently: the mean of the two.
    for (const angle of [0, Math.PI / 4])
      for (let a = 0; a < SAMPLES; a++)
        for (let b = 0; b < SAMPLES; b++) {
          const x = far * Math.cos(angle) + size * ((a + 0.5) / SAMPLES - 0.5);
          const y = far * Math.sin(angle) + size * ((b + 0.5) / SAMPLES - 0.5);
          sum += Math.max(0, 1 - (Math.hypot(x, y) / radius) ** power) ** 2;
        }
    table[k] = sum / (2 * SAMPLES * SAMPLES);
  }
  return table;
}
