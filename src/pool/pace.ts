/** How many of the latest frames the pace is taken from. */
const WINDOW = 48;
/** Fewer say nothing yet. */
const ENOUGH = 6;

/** Tells how long the rest will take from how fast the latest frames came. */
export const createPace = (): {
  tick: (now: number) => void;
  restart: () => void;
  secondsFor: (left: number) => number | null;
} => {
  let times: number[] = [];
  return {
    /** One more frame is done, `now` in milliseconds. */
    tick: (now) => {
      times.push(now);
      if (times.length > WINDOW) times.shift();
    },
    /** Another kind of work begins, which goes at another pace. */
    restart: () => {
      times = [];
    },
    /** Seconds for `left` more frames; null while too few are done to tell. */
    secondsFor: (left) => {
      if (times.length < ENOUGH) return null;
      const span = (times.at(-1) ?? 0) - (times[0] ?? 0);
      return (span / (times.length - 1) / 1000) * left;
    },
  };
};
