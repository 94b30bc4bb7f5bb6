// Numbers that carry their unit and their space, so that pixels of the original frame never meet
// pixels of the analysed one, or millimetres, by accident. Nothing here has behaviour beyond conversion.

declare const unit: unique symbol;
type Unit<Name extends string> = number & { readonly [unit]: Name };

/** Pixels of the original, oriented frame: origin at the top-left corner, x right, y down, centre of pixel i at i + 0.5. */
export type Px = Unit<"Px">;
/** Pixels of the frame as it was analysed (reduced to at most the analysis width). */
export type AnalysisPx = Unit<"AnalysisPx">;
export type Mm = Unit<"Mm">;
/** Radians, positive from x towards y (clockwise as seen on the screen). */
export type Radians = Unit<"Radians">;
export type Degrees = Unit<"Degrees">;
/** Exposure in stops: one stop is a factor of two in linear light. */
export type Stops = Unit<"Stops">;
export type Grams = Unit<"Grams">;
export type Seconds = Unit<"Seconds">;
/** The number in the frame's file name. */
export type FrameNumber = Unit<"FrameNumber">;

export const px = (value: number): Px => value as Px;
export const analysisPx = (value: number): AnalysisPx => value as AnalysisPx;
export const mm = (value: number): Mm => value as Mm;
export const radians = (value: number): Radians => value as Radians;
export const degrees = (value: number): Degrees => value as Degrees;
export const stops = (value: number): Stops => value as Stops;
export const grams = (value: number): Grams => value as Grams;
export const seconds = (value: number): Seconds => value as Seconds;
export const frameNumber = (value: number): FrameNumber => value as FrameNumber;

/** Stops of a gain in linear light: 1.02 is +0.02857. NaN where the gain is not positive. */
export const stopsOfGain = (gain: number): Stops => stops(gain > 0 ? Math.log2(gain) : Number.NaN);
export const gainOfStops = (value: Stops): number => 2 ** value;
export const mmOf = (value: Px, pxPerMm: number): Mm => mm(value / pxPerMm);
