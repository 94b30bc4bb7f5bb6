import type { HoldPlan } from "./contract.ts";
import type { FrameMeasurement, LeftOverMeasurement, PartMeasurement } from "./measurement.ts";
import type { FrameNumber } from "../units/index.ts";

/** The holds of a check, and what was measured of them and of the surfaces; grids are the tracker's. */
export class KeptMeasurements {
  private readonly plans = new Map<string, HoldPlan>();
  private readonly parts = new Map<string, Map<FrameNumber, PartMeasurement>>();
  private readonly leftOvers = new Map<string, Map<FrameNumber, LeftOverMeasurement>>();

  /** By id. */
  get holds(): ReadonlyMap<string, HoldPlan> {
    return this.plans;
  }

  /** By hold id, then by frame. */
  get measured(): ReadonlyMap<string, ReadonlyMap<FrameNumber, PartMeasurement>> {
    return this.parts;
  }

  /** Only these holds from here on; what was measured stays. */
  replaceHolds(holds: readonly HoldPlan[]): void {
    this.plans.clear();
    this.addHolds(holds);
  }

  addHolds(holds: readonly HoldPlan[]): void {
    for (const hold of holds) this.plans.set(hold.id, hold);
  }

  /** The part, held since this anchor, was measured already. */
  isMeasured(part: string, anchor: FrameNumber): boolean {
    const known = this.holdOf(part, anchor);
    return known !== undefined && this.parts.has(known.id);
  }

  /** What was measured of one surface, by frame; undefined where nothing was. */
  leftOversOf(plan: string): ReadonlyMap<FrameNumber, LeftOverMeasurement> | undefined {
    return this.leftOvers.get(plan);
  }

  take(frame: FrameNumber, measurement: FrameMeasurement): void {
    for (const part of measurement.parts) {
      const id = this.holdOf(part.part, part.anchor)?.id;
      if (id === undefined) continue;
      const rows = this.parts.get(id) ?? new Map<FrameNumber, PartMeasurement>();
      rows.set(frame, part);
      this.parts.set(id, rows);
    }
    for (const one of measurement.leftOvers ?? []) {
      const rows = this.leftOvers.get(one.plan) ?? new Map<FrameNumber, LeftOverMeasurement>();
      rows.set(frame, one);
      this.leftOvers.set(one.plan, rows);
    }
  }

  private holdOf(part: string, anchor: FrameNumber): HoldPlan | undefined {
    return [...this.plans.values()].find((hold) => hold.part === part && hold.anchor === anchor);
  }
}
