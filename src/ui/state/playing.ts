import { framesNow } from "./looking.ts";
import { session } from "./session.ts";
import { view } from "./view.ts";

/** How long each side of the flip stays up, ms: under three changes a second, which no eye takes for a flash. */
const FLIP_MS = 420;

/** The frames of the range, or all of them. */
function framesToPlay(): readonly number[] {
  const { range } = view.get();
  const all = framesNow();
  const within = range === null ? all : all.filter((frame) => range.from <= frame && frame <= range.to);
  return within.length > 0 ? within : all;
}

const isCalm = () => matchMedia("(prefers-reduced-motion: reduce)").matches;

/** Plays the frames at the shot's own rate, round and round, and flips anchor and current, as long as the page is open. */
export function keepTime(): void {
  let playTimer: ReturnType<typeof setInterval> | undefined;
  let flipTimer: ReturnType<typeof setInterval> | undefined;
  let playing = false;
  let flipping = false;

  const play = () => {
    const fps = session.get().report?.shot.fps ?? session.get().sheet?.shot.fps ?? 24;
    const started = performance.now();
    const from = Math.max(0, framesToPlay().indexOf(view.get().frame));
    // By the clock, not by counting ticks: a slow screen drops frames and keeps the shot's own speed.
    playTimer = setInterval(() => {
      const all = framesToPlay();
      if (all.length === 0) return;
      const gone = Math.floor(((performance.now() - started) / 1000) * fps);
      view.set({ frame: all[(from + gone) % all.length] });
    }, 1000 / fps);
  };

  const follow = () => {
    const now = view.get();
    if (now.playing !== playing) {
      playing = now.playing;
      clearInterval(playTimer);
      if (playing) play();
    }
    const flip = now.picture === "flip" && !now.playing && !now.flipHeld && !isCalm();
    if (flip !== flipping) {
      flipping = flip;
      clearInterval(flipTimer);
      if (flip) flipTimer = setInterval(() => view.set({ flipped: !view.get().flipped }), FLIP_MS);
    }
    if (now.picture !== "flip" && now.flipped) view.set({ flipped: false });
  };
  view.listen(follow);
}
