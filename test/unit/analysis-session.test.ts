import { beforeAll, expect, test } from "vitest";
import type { Answer, CheckJob, FrameOutcome, MeasurePlan, Step, Task } from "../../src/analysis/contract.ts";
import { createJudge } from "../../src/analysis/judge-session.ts";
import { createMeasurer, type Opener } from "../../src/analysis/measurer.ts";
import type { Plane } from "../../src/measure/plane.ts";
import { heapWorkspace, type Workspace } from "../../src/measure/workspace.ts";
import type { Report } from "../../src/model/index.ts";
import { frameNumber } from "../../src/units/index.ts";
import { renderShot } from "../support/render.ts";
import { heldPart } from "../support/shots.ts";
import { openWorkspace } from "../../workers/kernels.ts";

// One check step by step, with frames that can't be read where and when a test wants it.

const COUNT = 8;
const shot = heldPart({
  frames: COUNT,
  size: 76,
  width: 256,
  height: 192,
  background: "speckle",
  sagPerFrame: 0.05,
  jpeg: null,
  bits: 16,
});
const pictures = new Map<number, Plane>();

beforeAll(() => {
  renderShot(shot.scene, COUNT).planes.forEach((plane, i) => pictures.set(i + 1, plane));
});

interface Session {
  readonly frames?: readonly number[];
  /** Frames whose pixels can't be decoded, and frames whose header can't even be read. */
  readonly damaged?: readonly number[];
  readonly headless?: readonly number[];
  readonly sheet?: unknown;
  /** Where planes live, and so whether kernels or their twins do the work; the twins by default. */
  readonly workspace?: Workspace;
}

interface Driven {
  /** The last answer: the end of the check, or why there was none. */
  readonly last: Answer<Step>;
  readonly steps: readonly Step[];
  readonly plans: readonly MeasurePlan[];
  readonly tasks: readonly Task[];
}

const openerOf = ({ damaged = [], headless = [] }: Session): Opener => ({
  header: ({ frame, file }) => {
    const plane = pictures.get(frame)!;
    return Promise.resolve(
      headless.includes(frame)
        ? { problem: `${file} is empty` }
        : { frame, width: plane.width, height: plane.height, exifTime: null, note: null },
    );
  },
  luma: ({ frame, file }) =>
    Promise.resolve(damaged.includes(frame) ? { problem: `${file} ends too early` } : pictures.get(frame)!),
});

const all = Array.from({ length: COUNT }, (_, i) => i + 1);

const jobOf = ({ frames = all, sheet = shot.sheet }: Session): CheckJob => ({
  shot: "hive_010",
  folder: "hive_010",
  frames: frames.map((n) => ({ frame: frameNumber(n), file: `hive_010_${n}.png`, modified: null, source: null })),
  sheetText: sheet === null ? null : JSON.stringify(sheet),
  sheetFile: sheet === null ? null : "holdfast-sheet.json",
  sheetSha256: null,
  bandPx: null,
  analysisWidth: 1920,
  warnings: [],
});

async function drive(session: Session = {}): Promise<Driven> {
  const measurer = createMeasurer(openerOf(session), session.workspace ?? heapWorkspace);
  const judge = createJudge();
  const steps: Step[] = [];
  const plans: MeasurePlan[] = [];
  const tasks: Task[] = [];
  const queue: Task[] = [];
  let answer = await judge.open(jobOf(session));
  for (;;) {
    if (!answer.ok) return { last: answer, steps, plans, tasks };
    const step: Step = answer.value;
    steps.push(step);
    if (step.plan !== null) {
      plans.push(step.plan);
      await measurer.plan(step.plan);
    }
    queue.push(...step.tasks);
    tasks.push(...step.tasks);
    const task = queue.shift();
    if (step.finished || task === undefined) return { last: answer, steps, plans, tasks };
    const outcomes: FrameOutcome[] = [];
    await measurer.run(task, (outcome) => outcomes.push(outcome));
    answer = await judge.take(task.id, outcomes);
  }
}

function reportOf({ last }: Driven): Report {
  if (!last.ok) throw new Error(`${last.code}: ${last.detail}`);
  if (!last.value.finished || last.value.report === null) throw new Error("the check did not end with a report");
  return last.value.report;
}

const unreadable = (report: Report) =>
  report.warnings.filter(({ code }) => code === "frame-unreadable").map(({ frame, detail }) => `${frame}: ${detail}`);

let whole: Driven;
beforeAll(async () => {
  whole = await drive();
});

test("a check ends with a report that has every frame, and a track for each but the anchor", () => {
  const report = reportOf(whole);
  expect(report.shot.frames).toEqual(all);
  expect(report.tracks.map((track) => track.frame)).toEqual(all.slice(1));
  expect(report.tracks.every((track) => track.anchor === 1 && track.state === "ok")).toBe(true);
  for (const track of report.tracks) expect(Math.abs(track.dy! - 0.05 * (track.frame - 1))).toBeLessThan(0.03);
  expect(unreadable(report)).toEqual([]);
});

test("progress only grows, up to its total, and what is reported on the way is part of the end", () => {
  let done = 0;
  for (const step of whole.steps) {
    expect(step.done).toBeGreaterThanOrEqual(done);
    expect(step.total).toBeGreaterThanOrEqual(step.done);
    done = step.done;
  }
  expect(done).toBe(whole.steps.at(-1)!.total);
  const reports = whole.steps.flatMap((step) => (step.report === null ? [] : [step.report]));
  expect(reports.length).toBeGreaterThan(1);
  const counts = reports.map((report) => report.shot.frames.length);
  expect(counts).toEqual(counts.toSorted((a, b) => a - b));
  expect(counts.at(-1)).toBe(COUNT);
});

test("no frame is asked for twice while the sheet says all there is to say", () => {
  const measured = whole.tasks.flatMap((task) => (task.kind === "measure" ? [...task.frames] : []));
  expect(measured.toSorted((a, b) => a - b)).toEqual(all);
});

test("where the first frame can't be decoded the next one is the anchor and the reference", async () => {
  const driven = await drive({ damaged: [1] });
  const report = reportOf(driven);
  expect(report.shot.frames).toEqual(all.slice(1));
  expect(report.tracks.map((track) => track.frame)).toEqual(all.slice(2));
  expect(report.tracks.every((track) => track.anchor === 2)).toBe(true);
  expect(unreadable(report)).toEqual(["1: hive_010_1.png ends too early"]);
  expect(driven.plans.at(-1)!.reference).toBe(2);
  // Sag since frame 2.
  expect(Math.abs(report.tracks.at(-1)!.dy! - 0.05 * 6)).toBeLessThan(0.03);
});

test("where several first frames can't be decoded each is told, and the check goes on", async () => {
  const report = reportOf(await drive({ damaged: [1, 2, 3] }));
  expect(report.shot.frames).toEqual([4, 5, 6, 7, 8]);
  expect(unreadable(report)).toHaveLength(3);
});

test("a damaged frame in the middle leaves the others as if it had never been there", async () => {
  const damaged = reportOf(await drive({ damaged: [5] }));
  const missing = reportOf(await drive({ frames: all.filter((frame) => frame !== 5), sheet: shot.sheet }));
  expect(unreadable(damaged)).toEqual(["5: hive_010_5.png ends too early"]);
  expect(damaged.tracks).toEqual(missing.tracks);
  expect(damaged.frames).toEqual(missing.frames);
  expect(damaged.flags).toEqual(missing.flags);
});

const holdsTwice = {
  ...shot.sheet,
  parts: (shot.sheet["parts"] as Record<string, unknown>[]).map((part) => ({
    ...part,
    intents: [
      { from: 1, to: 4, intent: "holds" },
      { from: 5, to: 8, intent: "holds" },
    ],
  })),
};

test("a hold whose first frame can't be decoded is anchored at its next one", async () => {
  const report = reportOf(await drive({ damaged: [5], sheet: holdsTwice }));
  const later = report.tracks.filter((track) => track.frame > 4);
  expect(later.map((track) => [track.frame, track.anchor, track.state])).toEqual([
    [7, 6, "ok"],
    [8, 6, "ok"],
  ]);
  expect(report.tracks.filter((track) => track.frame <= 4).map((track) => track.anchor)).toEqual([1, 1, 1]);
});

test("a frame of the template that can't be decoded is left out of it", async () => {
  const report = reportOf(await drive({ damaged: [2] }));
  expect(report.tracks.map((track) => track.frame)).toEqual(all.slice(2));
  for (const track of report.tracks) {
    expect(track.state).toBe("ok");
    expect(Math.abs(track.dy! - 0.05 * (track.frame - 1))).toBeLessThan(0.03);
  }
});

test("frames whose header can't be read are left out before anything is measured", async () => {
  const driven = await drive({ headless: [1, 4] });
  const report = reportOf(driven);
  expect(report.shot.frames).toEqual([2, 3, 5, 6, 7, 8]);
  expect(unreadable(report)).toEqual(["1: hive_010_1.png is empty", "4: hive_010_4.png is empty"]);
});

test("where no frame can be decoded there is nothing to check, and the reasons are told", async () => {
  const { last } = await drive({ damaged: all });
  expect(last).toMatchObject({ ok: false, code: "nothing-to-check" });
  if (last.ok) return;
  expect(last.detail).toContain("hive_010_1.png ends too early");
  expect(last.detail).toContain("hive_010_7.png ends too early");
});

test("where one frame alone can be decoded there is nothing to compare it with", async () => {
  for (const left of [1, 4, 8]) {
    const { last } = await drive({ damaged: all.filter((frame) => frame !== left) });
    expect(last, `frame ${left}`).toMatchObject({ ok: false, code: "nothing-to-check" });
  }
});

test("where no header can be read there is nothing to check", async () => {
  expect((await drive({ headless: all })).last).toMatchObject({ ok: false, code: "nothing-to-check" });
});

test("a folder without frames, and a sheet that is refused, end the check at once", async () => {
  expect((await drive({ frames: [] })).last).toMatchObject({ ok: false, code: "nothing-to-check" });
  const { last, tasks } = await drive({ sheet: { format: "holdfast-sheet", version: 99, parts: [] } });
  expect(last).toMatchObject({ ok: false, code: "sheet-refused" });
  expect(tasks.every((task) => task.kind === "inspect")).toBe(true);
});

test("outcomes of a task that nobody gave out are refused", async () => {
  const judge = createJudge();
  expect(await judge.take("measure-1", [])).toMatchObject({ ok: false, code: "internal" });
  await judge.open(jobOf({}));
  expect(await judge.take("measure-99", [])).toMatchObject({ ok: false, code: "internal" });
});

test("a judge that opens a second check forgets the first", async () => {
  const judge = createJudge();
  await judge.open(jobOf({}));
  const again = await judge.open(jobOf({ frames: [1, 2, 3] }));
  expect(again.ok && again.value.total).toBe(6);
});

test("the kernels tell what their twins tell: the same states and flags, and tracks to a thousandth of a pixel", async () => {
  const workspace = await openWorkspace();
  expect(workspace).not.toBe(heapWorkspace);
  const [twins, kernels] = [reportOf(whole), reportOf(await drive({ workspace }))];
  expect(kernels.tracks.map(({ frame, anchor, state }) => [frame, anchor, state])).toEqual(
    twins.tracks.map(({ frame, anchor, state }) => [frame, anchor, state]),
  );
  expect(kernels.flags.map(({ kind, part, from }) => [kind, part, from])).toEqual(
    twins.flags.map(({ kind, part, from }) => [kind, part, from]),
  );
  kernels.tracks.forEach(({ dx, dy, sigmaDx }, i) => {
    expect(Math.hypot(dx! - twins.tracks[i].dx!, dy! - twins.tracks[i].dy!)).toBeLessThan(1e-3);
    expect(sigmaDx! / twins.tracks[i].sigmaDx!).toBeCloseTo(1, 1);
  });
});

// The measuring side

const outcomesOf = async (
  tasks: readonly Task[],
  plan: MeasurePlan,
  session: Session = {},
): Promise<FrameOutcome[]> => {
  const measurer = createMeasurer(openerOf(session));
  await measurer.plan(plan);
  const outcomes: FrameOutcome[] = [];
  for (const task of tasks)
    expect(await measurer.run(task, (outcome) => outcomes.push(outcome))).toMatchObject({ ok: true });
  return outcomes.toSorted((a, b) => a.frame - b.frame);
};

const measureTask = (plan: MeasurePlan, frames: readonly number[]): Task => ({
  id: "any",
  kind: "measure",
  revision: plan.revision,
  frames: frames.map(frameNumber),
  grids: true,
  holds: plan.holds.map((hold) => hold.id),
});

test("what is measured on a frame doesn't depend on which frames came before it, to the bit", async () => {
  const plan = whole.plans[0];
  const forwards = await outcomesOf([measureTask(plan, all)], plan);
  const shuffled = await outcomesOf(
    [measureTask(plan, [7, 2, 8]), measureTask(plan, [5, 1]), measureTask(plan, [3, 6, 4])],
    plan,
  );
  const alone = (await Promise.all([3, 8].map((frame) => outcomesOf([measureTask(plan, [frame])], plan)))).flat();
  expect(shuffled).toEqual(forwards);
  expect(alone).toEqual(forwards.filter(({ frame }) => frame === 3 || frame === 8));
});

test("a measurer gives each frame one outcome, in order, and a damaged one its reason", async () => {
  const plan = whole.plans[0];
  const measurer = createMeasurer(openerOf({ damaged: [3] }));
  await measurer.plan(plan);
  const outcomes: FrameOutcome[] = [];
  await measurer.run(measureTask(plan, [2, 3, 4]), (outcome) => outcomes.push(outcome));
  expect(outcomes.map(({ frame, kind }) => [frame, kind])).toEqual([
    [2, "measured"],
    [3, "failed"],
    [4, "measured"],
  ]);
  expect(outcomes[1]).toMatchObject({ reason: "hive_010_3.png ends too early" });
  // Frame 4 is told against the nearest frame before it that can be read.
  expect(outcomes[2].kind === "measured" && outcomes[2].measurement.pair?.against).toBe(2);
});

test("a measurer without a plan, or with an older one, says so", async () => {
  const plan = whole.plans[0];
  const measurer = createMeasurer(openerOf({}));
  expect(await measurer.run(measureTask(plan, [2]), () => undefined)).toMatchObject({ ok: false, code: "internal" });
  await measurer.plan(plan);
  const older = { ...measureTask(plan, [2]), revision: plan.revision - 1 } as Task;
  expect(await measurer.run(older, () => undefined)).toMatchObject({ ok: false, code: "internal" });
});
