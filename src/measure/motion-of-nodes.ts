import type { Carry } from "./carry.ts";
import { fitVectorField, type VectorSamples } from "./vector-field.ts";

/**
 * How a surface went by what its own nodes say, which know its turn and growth better than its part's motion does. A
 * minority that slipped doesn't count.
 * @param motion as the part went
 * @param samples the nodes, by what they did beyond it
 * @returns null where they can't tell
 */
export function motionOfNodes(motion: Carry, samples: VectorSamples): Carry | null {
  const field = fitVectorField(samples, "similar");
  if (field === null) return null;
  const [dx, dy] = field.at(0, 0);
  const [rightX, rightY] = field.at(1, 0);
  return {
    shiftX: motion.shiftX + dx,
    shiftY: motion.shiftY + dy,
    a: motion.a + rightX - dx,
    b: motion.b + rightY - dy,
  };
}
