import type { BenchShot } from "../../reports/bench/holds.ts";
import { planHeadline, type WorkItem } from "../../reports/bench/work-list.ts";
import { puppetWords, readable, shareWords } from "../../reports/bench/words.ts";
import { dayWords } from "../../reports/dailies/sentences.ts";
import { usePlan } from "./use-bench.ts";

const capital = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);

function Item({ item }: { readonly item: WorkItem }) {
  return (
    <li className="work-item">
      <svg width="18" height="18" viewBox="0 0 18 18" aria-hidden="true">
        <rect x="1.5" y="1.5" width="15" height="15" rx="2" />
      </svg>
      <div>
        <h3>
          {item.partName} <span>{puppetWords(item.puppet, item.copy)}</span>
        </h3>
        {item.why.map((line) => (
          <p key={line}>{capital(line)}.</p>
        ))}
        <p className="bench-about">
          {item.joints.length > 0 ? `Joint: ${item.joints.map(readable).join(", then ")}. ` : ""}
          {item.lastRepair === null
            ? "Never mended, as far as is logged."
            : `Last mended ${item.lastRepair.done.replace("T", " ")}${item.lastRepair.what === "" ? "" : `: ${item.lastRepair.what}`}; since then ${shareWords(item.since)} drifted.`}
        </p>
      </div>
    </li>
  );
}

/** What to mend, in the order of the shots that need it; made to be printed. */
export function WorkPanel({ shots }: { readonly shots: readonly BenchShot[] }) {
  const plan = usePlan(shots);
  const groups = [...new Set(plan.items.map(({ before }) => before))];
  return (
    <div className="work">
      <h1>Work list</h1>
      <p className="bench-about">{planHeadline(plan)}</p>
      {groups.map((shot) => (
        <section key={shot?.id ?? "none"}>
          <h2>
            {shot === null ? "For no shot that is listed" : `Before ${shot.name}`}
            {shot?.day != null && <span>{dayWords(shot.day)}</span>}
          </h2>
          <ul>
            {plan.items
              .filter(({ before }) => before === shot)
              .map((item) => (
                <Item key={item.key} item={item} />
              ))}
          </ul>
        </section>
      ))}
      {plan.items.length > 0 && (
        <p className="bench-about work-foot">
          A part is listed where it surely drifts in more than one hold in ten since it was last mended, or where
          somebody sent it to the bench. Shares have 95 % intervals. What Holdfast measures is a reason to look, not an
          instruction.
        </p>
      )}
    </div>
  );
}
