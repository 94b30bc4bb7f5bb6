import { Button } from "react-aria-components";
import { speedWords } from "../../reports/bench/holds.ts";
import type { Mean } from "../../reports/bench/intervals.ts";
import { gainWords, type RepairStory } from "../../reports/bench/repairs.ts";
import { meanWords, partWords, shareWords } from "../../reports/bench/words.ts";
import { counted } from "../../reports/words.ts";
import { removeRepair } from "./bench-data.ts";
import { IntervalBar } from "./IntervalBar.tsx";

const capital = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);

function Side({
  name,
  mean,
  most,
  words,
}: {
  readonly name: string;
  readonly mean: Mean;
  readonly most: number;
  readonly words: string;
}) {
  return (
    <>
      <span className="story-side">{name}</span>
      <IntervalBar
        value={mean.value}
        low={mean.low === null ? null : Math.max(0, mean.low)}
        high={mean.high}
        most={most}
        label={words}
        other={name === "before"}
      />
    </>
  );
}

function Comparison({ story }: { readonly story: RepairStory }) {
  const { compared } = story;
  if (compared === null || compared.by === "seating" || compared.before === null || compared.after === null)
    return null;
  const { before, after, by } = compared;
  const most = Math.max(before.high ?? before.value, after.value, Math.min(after.high ?? 0, 2 * before.value));
  return (
    <>
      <div className="story-bars">
        <Side name="before" mean={before} most={most} words={meanWords(before, by)} />
        <Side name="after" mean={after} most={most} words={meanWords(after, by)} />
      </div>
      <p className="story-facts">
        Before {meanWords(before, by)}; after {meanWords(after, by).replace(` ${speedWords[by]}`, "")}.
      </p>
    </>
  );
}

/** A repair, and whether it held. */
export function StoryCard({ story, withPlace = false }: { readonly story: RepairStory; readonly withPlace?: boolean }) {
  const { repair, flagged, leftOut } = story;
  const gain = gainWords(story);
  return (
    <article className={`story ${story.outcome}`}>
      {withPlace && <p className="story-place">{partWords(story.partName, repair.puppet, repair.copy)}</p>}
      <p className="story-sentence">{capital(story.sentence)}</p>
      <Comparison story={story} />
      <p className="story-facts">
        {repair.done.replace("T", " ")}
        {repair.who === "" ? "" : `, ${repair.who}`}
        {repair.joint === null ? "" : `, joint ${repair.joint.replace(/[-_]/gu, " ")}`}. Flagged before{" "}
        {shareWords(flagged.before)}, after {shareWords(flagged.after)}.{gain === null ? "" : ` ${capital(gain)}.`}
        {leftOut > 0
          ? ` ${counted(leftOut, "hold")} left out: without a capture time, or under way when it was done.`
          : ""}
      </p>
      <Button className="link story-remove" onPress={() => removeRepair(repair)}>
        Remove this entry
      </Button>
    </article>
  );
}
