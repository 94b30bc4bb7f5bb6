import type { BenchShot } from "../../reports/bench/holds.ts";
import { RepairForm } from "./RepairForm.tsx";
import { StoryCard } from "./StoryCard.tsx";
import { useStories } from "./use-bench.ts";

/** Every repair of the production, the latest first: did it hold? */
export function RepairsPanel({ shots }: { readonly shots: readonly BenchShot[] }) {
  const stories = useStories(shots);
  return (
    <div className="bench-two">
      <section aria-label="Repairs">
        <h1>Repairs</h1>
        <p className="bench-about">
          {stories.length === 0
            ? "None is logged. Once one is, holds before and after it are compared."
            : "Holds of the part before and after each, by their capture times: after one repair to the next."}
        </p>
        {stories.map((story) => (
          <StoryCard key={story.repair.id} story={story} withPlace />
        ))}
      </section>
      <section className="bench-form" aria-label="Log a repair">
        <h2>Log a repair</h2>
        <RepairForm shots={shots} />
      </section>
    </div>
  );
}
