// What somebody in a seat can see of a picture: the angle that a pixel takes up, and what of a motion goes unnoticed.

const ARCMINUTE = Math.PI / 180 / 60;

/**
 * Distance, in picture heights, at which neighbouring pixels of a picture with so many lines are one arcminute apart:
 * the design viewing distance of ITU-R BT.500.
 */
export const designDistance = (lines: number): number => 1 / (lines * Math.tan(ARCMINUTE));

/** Arcminutes that one line takes up, in the middle of a picture seen from so many picture heights. */
export const arcminutesALine = (lines: number, pictureHeights: number): number =>
  Math.atan(1 / (lines * pictureHeights)) / ARCMINUTE;

/** Distance, in screen widths, from which a screen fills so many degrees: a cinema's seat at 30 (SMPTE EG 18). */
export const cinemaDistance = (degrees: number): number => 1 / (2 * Math.tan((degrees * Math.PI) / 360));

/**
 * Displacement from one frame to the next, at 24 frames a second, that a slow correction may have and not be noticed,
 * arcminutes: 1.2 arcminutes a second, about where motion beside something still begins to be seen (1 to 2 arcminutes a
 * second after Aubert 1886, from memory). Common practice, no source.
 */
export const UNNOTICED_ARCMINUTES = 0.05;
/** A film is shown with no more lines than that, however large its frames were. */
const SHOWN_LINES = 2160;

/** Degrees of a cinema's seat. */
const CINEMA = 30;

/**
 * Displacement between two frames that goes unnoticed, px of a frame of this size, from the seat that sees most: at the
 * design distance of the picture as it is shown, or in the cinema.
 */
export function unnoticedPx(width: number, height: number): number {
  const atHome = arcminutesALine(height, designDistance(Math.min(height, SHOWN_LINES)));
  // A column of a square pixel is as wide as a line.
  const inTheCinema = arcminutesALine(width, cinemaDistance(CINEMA));
  return UNNOTICED_ARCMINUTES / Math.max(atHome, inTheCinema);
}
