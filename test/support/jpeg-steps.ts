import sharp from "sharp";

/** Steps of the 64 cosine coefficients of a grey JPEG file, row-major: rows are frequencies downwards. */
export type JpegSteps = readonly number[];

const TABLES = 0xdb;

/** The n-th coefficient of a file in the order of its zigzag (ITU-T T.81, figure 5). */
const ZIGZAG: readonly number[] = Array.from({ length: 64 }, (_, i) => [i % 8, Math.floor(i / 8)] as const)
  .toSorted(([ax, ay], [bx, by]) => {
    const diagonal = ax + ay - bx - by;
    if (diagonal !== 0) return diagonal;
    return (ax + ay) % 2 === 0 ? ax - bx : bx - ax;
  })
  .map(([x, y]) => y * 8 + x);

/** The steps that sharp writes at a quality, read from a file that it wrote. */
export async function jpegSteps(quality: number): Promise<JpegSteps> {
  const flat = { width: 8, height: 8, channels: 1 } as const;
  const file = await sharp(new Uint8Array(64), { raw: flat }).toColourspace("b-w").jpeg({ quality }).toBuffer();
  // Segments follow each other, each with its length behind its marker (annex B).
  for (let at = 2; at + 4 < file.length; at += 2 + file.readUInt16BE(at + 2)) {
    if (file[at + 1] !== TABLES) continue;
    const steps = new Array<number>(64);
    ZIGZAG.forEach((place, n) => (steps[place] = file[at + 5 + n]));
    return steps;
  }
  throw new Error("a JPEG file without a table of steps");
}
