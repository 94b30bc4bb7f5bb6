import type { Answer, FrameFile, FrameOutcome, HoldPlan, MeasurePlan, Task } from "../protocol/index.ts";
import type { Call, Pool } from "./pool.ts";

// A check of the same frames with another sheet asks for much that was measured before. What one frame measures depends
// on the frames and on the plan's own words alone, so that what was measured for the same words is the same to the bit,
// and need not be measured again. The judge knows nothing of this.

type MeasureTask = Task & { readonly kind: "measure" };
type Measured = FrameOutcome & { readonly kind: "measured" };
type Measurement = Measured["measurement"];
type Grids = Pick<Measurement, "grid" | "pair" | "pairNoise" | "changed">;

/** What is kept at most, bytes: some 200 frames at full width. What no longer fits is measured again. */
const MOST_BYTES = 160e6;

interface Entry {
  readonly value: unknown;
  readonly bytes: number;
  /** The check that used it last. */
  run: number;
}

/** Bytes of all arrays of numbers in a value, and a little for the rest. */
const bytesOf = (value: unknown): number => {
  if (ArrayBuffer.isView(value)) return value.byteLength;
  if (typeof value !== "object" || value === null) return 8;
  return Object.values(value).reduce<number>((sum, item) => sum + bytesOf(item), 64);
};

/** What is missing of one frame of a task. */
interface Needs {
  readonly grids: boolean;
  readonly holds: readonly string[];
  readonly leftOvers: readonly string[];
  readonly survey: boolean;
}

const isNothing = ({ grids, holds, leftOvers, survey }: Needs): boolean =>
  !grids && holds.length === 0 && leftOvers.length === 0 && !survey;

const applies = (hold: HoldPlan, frame: FrameOutcome["frame"]): boolean =>
  frame >= hold.from && frame <= hold.to && (hold.only === undefined || hold.only.includes(frame));

/** What was measured of one shot, for checks of it with other sheets. */
export interface MeasureMemory {
  /**
   * A pool of measuring workers that asks `pool` only for what isn't known yet.
   * @param printOf tells a file's content apart from an earlier one of the same name
   */
  around(pool: Pool, printOf: (file: FrameFile) => string): Pool;
}

export const createMemory = (mostBytes = MOST_BYTES): MeasureMemory => {
  const entries = new Map<string, Entry>();
  const contexts = new Map<string, number>();
  let bytes = 0;
  let run = 0;

  const keep = (key: string, value: unknown): void => {
    if (entries.has(key)) return;
    const size = bytesOf(value) + 2 * key.length;
    // What the last check did not use goes first; what this one uses stays, or a long shot would push itself out.
    for (const [old, entry] of entries) {
      if (bytes + size <= mostBytes) break;
      if (entry.run >= run) continue;
      entries.delete(old);
      bytes -= entry.bytes;
    }
    if (bytes + size > mostBytes) return;
    entries.set(key, { value, bytes: size, run });
    bytes += size;
  };
  const known = (key: string): unknown => {
    const entry = entries.get(key);
    if (entry === undefined) return undefined;
    entry.run = run;
    return entry.value;
  };

  /** A short name for all that every measurement of a plan depends on. */
  const contextOf = (plan: MeasurePlan, printOf: (file: FrameFile) => string): number => {
    const { revision: _revision, holds: _holds, leftOvers: _leftOvers, frames, ...rest } = plan;
    const words = JSON.stringify([rest, frames.map((file) => [file.frame, file.file, printOf(file)])]);
    const name = contexts.get(words) ?? contexts.size;
    contexts.set(words, name);
    return name;
  };

  /** Keys of the pieces of one task in one frame. */
  const keysOf = (plan: MeasurePlan, context: number, task: MeasureTask) => {
    const holds = new Map(plan.holds.map((hold) => [hold.id, hold] as const));
    const words = new Map(
      task.holds.flatMap((id) => {
        const hold = holds.get(id);
        return hold === undefined ? [] : [[id, JSON.stringify(hold)] as const];
      }),
    );
    const surfaces = (plan.leftOvers ?? []).filter(({ id }) => task.leftOvers?.includes(id));
    const nodes = new Map(
      surfaces.map(({ id, steps: _steps, ...rest }) => {
        // A held surface is sought by what its hold did, where the task measures that too.
        const seeds = task.holds.filter((one) => {
          const hold = holds.get(one);
          return hold?.part === rest.part && hold.anchor === rest.anchor;
        });
        return [id, { seeds, words: JSON.stringify([id, rest, seeds.map((one) => words.get(one))]) }] as const;
      }),
    );
    return {
      grids: (frame: number) => `grids ${context} ${frame} ${task.pairs !== false}`,
      survey: () => `survey ${context} ${task.survey?.join()}`,
      holdsIn: (frame: FrameOutcome["frame"]) => [...words.keys()].filter((id) => applies(holds.get(id)!, frame)),
      hold: (id: string, frame: number) => `hold ${context} ${frame} ${words.get(id)}`,
      leftOversIn: (frame: FrameOutcome["frame"]) =>
        surfaces.flatMap(({ id, steps }) => (steps.some((step) => step.frame === frame) ? [id] : [])),
      seedsOf: (id: string) => nodes.get(id)?.seeds ?? [],
      leftOver: (id: string, frame: number) => {
        const step = surfaces.find((one) => one.id === id)?.steps.find((one) => one.frame === frame);
        return `left-over ${context} ${frame} ${nodes.get(id)?.words} ${JSON.stringify(step)}`;
      },
    };
  };

  const measure = async (
    pool: Pool,
    call: Call,
    task: MeasureTask,
    plan: MeasurePlan,
    context: number,
  ): Promise<Answer<null>> => {
    const keys = keysOf(plan, context, task);
    const needsOf = (frame: FrameOutcome["frame"]): Needs => {
      const leftOvers = keys.leftOversIn(frame).filter((id) => known(keys.leftOver(id, frame)) === undefined);
      const seeds = leftOvers.flatMap((id) => keys.seedsOf(id));
      const needs = {
        grids: task.grids && known(keys.grids(frame)) === undefined,
        holds: keys.holdsIn(frame).filter((id) => seeds.includes(id) || known(keys.hold(id, frame)) === undefined),
        leftOvers,
        survey: task.survey !== undefined && frame === task.frames[0] && known(keys.survey()) === undefined,
      };
      // Where the picture leaves its reference, a hold is sought by the grid that is measured beside it: all or nothing.
      if (plan.cameras === undefined || isNothing(needs)) return needs;
      return { ...needs, grids: task.grids, holds: keys.holdsIn(frame), leftOvers: keys.leftOversIn(frame) };
    };
    const take = ({ frame, measurement, survey }: Measured): void => {
      const { grid, pair, pairNoise, changed, parts, leftOvers = [] } = measurement;
      if (grid !== null) {
        const grids: Grids = {
          grid,
          pair,
          ...(pairNoise === undefined ? {} : { pairNoise }),
          ...(changed === undefined ? {} : { changed }),
        };
        keep(keys.grids(frame), grids);
      }
      for (const id of keys.holdsIn(frame)) {
        const hold = plan.holds.find((one) => one.id === id)!;
        const part = parts.find((one) => one.part === hold.part && one.anchor === hold.anchor);
        if (part !== undefined) keep(keys.hold(id, frame), part);
      }
      for (const one of leftOvers) keep(keys.leftOver(one.plan, frame), one);
      if (survey !== undefined) keep(keys.survey(), survey);
    };
    /** What was measured just now, with what was known before. */
    const whole = (frame: FrameOutcome["frame"], fresh: Measured | null): Measured => {
      const one = fresh?.measurement;
      const grids: Grids = !task.grids
        ? { grid: null, pair: null }
        : one !== undefined && one.grid !== null
          ? one
          : ((known(keys.grids(frame)) as Grids | undefined) ?? { grid: null, pair: null });
      const parts = keys.holdsIn(frame).flatMap((id) => {
        const hold = plan.holds.find((each) => each.id === id)!;
        const measured = one?.parts.find((each) => each.part === hold.part && each.anchor === hold.anchor);
        return measured ?? (known(keys.hold(id, frame)) as Measurement["parts"][number] | undefined) ?? [];
      });
      const leftOvers = keys.leftOversIn(frame).flatMap((id) => {
        const measured = one?.leftOvers?.find((each) => each.plan === id);
        return (
          measured ??
          (known(keys.leftOver(id, frame)) as NonNullable<Measurement["leftOvers"]>[number] | undefined) ??
          []
        );
      });
      const { grid, pair, pairNoise, changed } = grids;
      const survey =
        task.survey !== undefined && frame === task.frames[0]
          ? (fresh?.survey ?? (known(keys.survey()) as NonNullable<Measured["survey"]> | undefined))
          : undefined;
      return {
        kind: "measured",
        frame,
        measurement: {
          frame,
          grid,
          pair,
          parts,
          leftOvers,
          ...(pairNoise === undefined ? {} : { pairNoise }),
          ...(changed === undefined ? {} : { changed }),
        },
        ...(survey === undefined ? {} : { survey }),
      };
    };

    let at = 0;
    while (at < task.frames.length) {
      const needs = needsOf(task.frames[at]);
      if (isNothing(needs)) {
        call.onEvent?.(whole(task.frames[at], null));
        at += 1;
        continue;
      }
      // Frames in a row that want the same go to one worker.
      const same = JSON.stringify({ ...needs, survey: false });
      let end = at + 1;
      while (end < task.frames.length && JSON.stringify(needsOf(task.frames[end])) === same) end += 1;
      const frames = task.frames.slice(at, end);
      const left = new Set(frames);
      const { survey, ...plain } = task;
      const part = { ...plain, ...(needs.survey && survey !== undefined ? { survey } : {}) };
      const answer = await pool.run<null>({
        ...call,
        args: () => [
          {
            ...part,
            grids: needs.grids,
            holds: needs.holds,
            leftOvers: needs.leftOvers,
            frames: frames.filter((frame) => left.has(frame)),
          },
        ],
        onEvent: (event) => {
          const outcome = event as FrameOutcome;
          if (!left.delete(outcome.frame)) return;
          if (outcome.kind !== "measured") {
            call.onEvent?.(outcome);
            return;
          }
          take(outcome);
          call.onEvent?.(whole(outcome.frame, outcome));
        },
      });
      if (!answer.ok) return answer;
      at = end;
    }
    return { ok: true, value: null };
  };

  const inspect = async (
    pool: Pool,
    call: Call,
    task: Task & { readonly kind: "inspect" },
    printOf: (file: FrameFile) => string,
  ): Promise<Answer<null>> => {
    const key = (file: FrameFile) => `header ${file.frame} ${file.file} ${printOf(file)}`;
    const headers = new Map(
      task.frames.map((file) => [file.frame, known(key(file)) as FrameOutcome | undefined] as const),
    );
    const missing = task.frames.filter((file) => headers.get(file.frame) === undefined);
    for (const outcome of headers.values()) if (outcome !== undefined) call.onEvent?.(outcome);
    if (missing.length === 0) return { ok: true, value: null };
    const left = new Map(missing.map((file) => [file.frame, file] as const));
    return pool.run<null>({
      ...call,
      args: () => [{ ...task, frames: [...left.values()] }],
      onEvent: (event) => {
        const outcome = event as FrameOutcome;
        const file = left.get(outcome.frame);
        left.delete(outcome.frame);
        if (file !== undefined && outcome.kind === "header") keep(key(file), outcome);
        call.onEvent?.(outcome);
      },
    });
  };

  return {
    around(pool, printOf) {
      run += 1;
      const plans = new WeakMap<MeasurePlan, number>();
      return {
        size: pool.size,
        get broken() {
          return pool.broken;
        },
        close: () => pool.close(),
        async run<T>(call: Call): Promise<Answer<T>> {
          const task = call.args()[0] as Task | undefined;
          if (call.method !== "run" || task === undefined || task.kind === "prove") return pool.run<T>(call);
          if (task.kind === "inspect") return (await inspect(pool, call, task, printOf)) as Answer<T>;
          const plan = call.prepare?.args[0] as MeasurePlan | undefined;
          if (plan === undefined) return pool.run<T>(call);
          const context = plans.get(plan) ?? contextOf(plan, printOf);
          plans.set(plan, context);
          return (await measure(pool, call, task, plan, context)) as Answer<T>;
        },
      };
    },
  };
};
