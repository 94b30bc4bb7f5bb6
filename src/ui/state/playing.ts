import { framesNow, goTo } from "./looking.ts";
import { session } from "./session.ts";
import { createStore } from "./store.ts";
import { rates, view } from "./view.ts";

/** How long each side of the flip stays up, ms: under three changes a second, which no eye takes for a flash. */
const FLIP_MS = 420;

/** The frames of the range, or all of them. */
export function framesToPlay(): readonly number[] {
  const { range } = view.get();
  const all = framesNow();
  const within = range === null ? all : all.filter((frame) => range.from <= frame && frame <= range.to);
  return within.length > 0 ? within : all;
}

const shotRate = (): number => session.get().report?.shot.fps ?? session.get().sheet?.shot.fps ?? 24;
export const rateNow = (): number => view.get().rate ?? shotRate();

/** The next rate in the list, and after the last one the shot's own again. */
export function nextRate(): void {
  const others = rates.filter((rate) => rate !== shotRate());
  view.set({
    rate: view.get().rate === null ? (others[0] ?? null) : (others.find((rate) => rate > rateNow()) ?? null),
  });
}

/** How playing went since it was started: frames that were due, and those of them whose picture was not there in time. */
export const played = createStore<{ readonly due: number; readonly late: number }>({ due: 0, late: 0 });

/** Frames at which a hold or a move begins: of the chosen part, else of any. */
function holdStarts(): readonly number[] {
  const { strips } = session.get();
  const { strip } = view.get();
  if (!strips) return [];
  const chosen = strips.strips.filter(({ id, kind }) => (strip === null ? kind === "part" : id === strip));
  return strips.frames.filter((_, i) =>
    chosen.some(({ ground, anchor }) => {
      if (i === 0) return true;
      // What moves is anchored to the frame before, anew in every frame: that is one move.
      return ground[i] !== ground[i - 1] || (ground[i] !== "moves" && anchor[i] !== anchor[i - 1]);
    }),
  );
}

/** To the next frame at which a hold or a move begins; to the shot's end where there is none. */
export function stepByHold(by: 1 | -1): void {
  const { frame } = view.get();
  const starts = holdStarts();
  const frames = framesNow();
  const next = by === 1 ? starts.find((each) => each > frame) : starts.findLast((each) => each < frame);
  view.set({ playing: false });
  goTo(next ?? (by === 1 ? frames[frames.length - 1] : frames[0]) ?? frame);
}

const isCalm = () => matchMedia("(prefers-reduced-motion: reduce)").matches;

/** Plays the frames at a rate, round and round, and flips anchor and current, as long as the page is open. */
export function keepTime(): void {
  let asked = 0;
  let flipTimer: ReturnType<typeof setInterval> | undefined;
  /** What is played, and how: a change begins anew from the frame that is up. */
  let running = "";
  let flipping = false;

  const play = () => {
    const fps = rateNow();
    const frames = framesToPlay();
    const started = performance.now();
    const from = Math.max(0, frames.indexOf(view.get().frame));
    played.set({ due: 0, late: 0 });
    // By the clock, not by counting: a slow screen drops frames and keeps the shot's own speed.
    const tick = (now: number) => {
      asked = requestAnimationFrame(tick);
      const gone = Math.max(0, Math.floor(((now - started) / 1000) * fps));
      view.set({ frame: frames[(from + gone) % frames.length] });
    };
    if (frames.length > 0) asked = requestAnimationFrame(tick);
  };

  const follow = () => {
    const now = view.get();
    const wanted = now.playing ? `${rateNow()}:${now.range?.from}:${now.range?.to}` : "";
    if (wanted !== running) {
      running = wanted;
      cancelAnimationFrame(asked);
      if (wanted !== "") play();
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
