import { beforeAll, expect, test } from "vitest";
import { createJudge } from "../../src/analysis/judge-session.ts";
import { createMeasurer, type Opener } from "../../src/analysis/measurer.ts";
import type { Plane } from "../../src/measure/plane.ts";
import { createMemory, type MeasureMemory } from "../../src/pool/memory.ts";
import { runCheck } from "../../src/pool/check.ts";
import { createPool } from "../../src/pool/pool.ts";
import type { WorkerHandle } from "../../src/pool/transport.ts";
import type { CheckJob, FrameFile, JudgeWorker, MeasureWorker, Report, Task } from "../../src/protocol/index.ts";
import { parseSheet, serialiseSheet, type Sheet } from "../../src/model/index.ts";
import { addPart, changePart, setIntent } from "../../src/model/edit/index.ts";
import { frameNumber, px } from "../../src/units/index.ts";
import { renderShot } from "../support/render.ts";
import { crawlingCloth } from "../support/material-shots.ts";
import { openWorkspace } from "../../workers/kernels.ts";
import { handClock } from "./pool-fakes.ts";

// Whole checks through the pool, with measurers in this thread: once as they come, once with what is known from before.

const FRAMES = 6;
const shot = crawlingCloth({ frames: FRAMES, width: 256, height: 192, seed: 3 });
const pictures = new Map<number, Plane>();
beforeAll(() => {
  renderShot(shot.scene, shot.frames).planes.forEach((plane, i) => pictures.set(i + 1, plane));
});

const opener: Opener = {
  header: ({ frame }) => {
    const { width, height } = pictures.get(frame)!;
    return Promise.resolve({ frame, width, height, exifTime: null, note: null });
  },
  luma: ({ frame }) => Promise.resolve(pictures.get(frame)!),
};

const handleOf = (methods: object): WorkerHandle => ({
  call: (method, args, onEvent) =>
    (methods as Record<string, (...given: unknown[]) => Promise<unknown>>)[method](
      ...args,
      ...(onEvent ? [onEvent] : []),
    ),
  onError: () => undefined,
  terminate: () => undefined,
});

interface Asked {
  /** Frames whose grids were measured, and how often each part was, in frames. */
  grids: number;
  readonly holds: Map<string, number>;
  leftOvers: number;
}

async function check(sheet: Sheet | null, memory?: MeasureMemory, print = "as shot") {
  const asked: Asked = { grids: 0, holds: new Map(), leftOvers: 0 };
  const workspace = await openWorkspace();
  const measure = (): MeasureWorker => {
    const worker = createMeasurer(opener, workspace);
    return {
      plan: (plan) => worker.plan(plan),
      run(task: Task, onOutcome) {
        return worker.run(task, (outcome) => {
          if (outcome.kind === "measured") {
            const { grid, parts, leftOvers } = outcome.measurement;
            if (grid !== null) asked.grids += 1;
            for (const { part } of parts) asked.holds.set(part, (asked.holds.get(part) ?? 0) + 1);
            asked.leftOvers += leftOvers?.length ?? 0;
          }
          onOutcome(outcome);
        });
      },
    };
  };
  const frames: FrameFile[] = [...pictures.keys()].map((n) => ({
    frame: frameNumber(n),
    file: `hive_010_000${n}.png`,
    modified: null,
    source: n,
  }));
  const job: CheckJob = {
    shot: "hive_010",
    folder: "hive_010",
    frames,
    sheetText: sheet && serialiseSheet(sheet),
    sheetFile: sheet && "holdfast-sheet.json",
    sheetSha256: null,
    bandPx: null,
    analysisWidth: 1920,
    warnings: [],
  };
  const clock = handClock();
  const plain = createPool({ size: 2, spawn: () => handleOf(measure()), clock });
  const judges = createPool({ size: 1, spawn: () => handleOf(createJudge() satisfies JudgeWorker), clock });
  const pool = memory ? memory.around(plain, () => print) : plain;
  const answer = await runCheck({ pool, judge: judges, job, clock });
  if (!answer.ok) throw new Error(answer.detail);
  return { report: answer.value, asked };
}

const context = { frames: [...Array(FRAMES).keys()].map((i) => frameNumber(i + 1)), width: 256, height: 192 };
const sheetOf = (): Sheet => {
  const read = parseSheet(JSON.stringify(shot.sheet), "sheet.json", context);
  if ("refusals" in read) throw new Error(read.refusals.join("\n"));
  return read.sheet;
};
const done = (edited: ReturnType<typeof changePart>): Sheet => {
  if ("refusals" in edited) throw new Error(edited.refusals.join());
  return edited.sheet;
};

/** The same sheets checked from scratch, and one after the other with a memory. */
async function both(
  sheets: readonly (Sheet | null)[],
): Promise<readonly { fresh: Report; report: Report; asked: Asked }[]> {
  const memory = createMemory();
  const out = [];
  for (const sheet of sheets) {
    const { report, asked } = await check(sheet, memory);
    out.push({ fresh: (await check(sheet)).report, report, asked });
  }
  return out;
}

const SLOW = 120_000;

test(
  "a sheet that was edited is checked to the bit as from scratch, and only what is new is measured",
  async () => {
    const first = sheetOf();
    const [held] = first.parts;
    const banded = done(changePart(first, held.id, { bandPx: px(0.05) }, context));
    const corner = [px(8), px(8)] as const;
    const added = done(
      addPart(banded, frameNumber(1), [corner, [px(70), px(8)], [px(70), px(70)], [px(8), px(70)]], context, {
        name: "Shelf",
        kind: "set",
      }),
    );
    const moved = done(setIntent(added, "shelf", 1, 3, "hidden", null, context));
    const [one, two, three, four, five] = await both([first, banded, added, moved, first]);
    for (const { fresh, report } of [one, two, three, four, five]) expect(report).toEqual(fresh);
    expect(one.asked.grids).toBe(FRAMES);
    // A band is judged, not measured.
    expect(two.asked).toEqual({ grids: 0, holds: new Map(), leftOvers: 0 });
    expect(three.asked.grids).toBe(0);
    expect([...three.asked.holds.keys()]).toEqual(["shelf"]);
    expect([...four.asked.holds.keys()].filter((part) => part !== "shelf")).toEqual([]);
    expect(five.asked).toEqual({ grids: 0, holds: new Map(), leftOvers: 0 });
  },
  SLOW,
);

test(
  "frames that were taken again are measured again, and a memory that is full forgets without a difference",
  async () => {
    const sheet = sheetOf();
    const memory = createMemory();
    await check(sheet, memory);
    expect((await check(sheet, memory)).asked.grids).toBe(0);
    expect((await check(sheet, memory, "taken again")).asked.grids).toBe(FRAMES);
    const small = createMemory(20_000);
    await check(sheet, small);
    const again = await check(sheet, small);
    expect(again.asked.grids).toBeGreaterThan(0);
    expect(again.asked.grids).toBeLessThan(FRAMES);
    expect(again.report).toEqual((await check(sheet)).report);
  },
  SLOW,
);

test(
  "parts that are drawn after a check without a sheet need no grid again",
  async () => {
    const [, drawn] = await both([null, sheetOf()]);
    expect(drawn.report).toEqual(drawn.fresh);
    expect(drawn.asked.grids).toBe(0);
  },
  SLOW,
);
