/**
 * While a check runs the report goes out first at this share of the shot, and then whenever twice as many frames are
 * through: each judges them all anew.
 */
const FIRST_REPORT = 1 / 6;
const REPORT_AGAIN = 2;

/** When a report on the way is due. */
export class ReportPace {
  /** Frames that the last report on the way was made of. */
  private last = 0;

  /** Whether one is due with so many of all frames through; if so it counts as made. */
  isDue(frames: number, all: number): boolean {
    const least = Math.max(2, FIRST_REPORT * all, REPORT_AGAIN * this.last);
    if (frames < least) return false;
    this.last = frames;
    return true;
  }
}
