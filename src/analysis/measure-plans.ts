import type { FrameFile, HoldPlan, LeftOverPlan, MeasurePlan, PlannedCamera, Survey } from "./contract.ts";
import type { ShotSetup } from "./shot-setup.ts";

/** The plans of a check, one after the other: each with all that is known by then of channel, noise and cameras. */
export class MeasurePlans {
  private last: MeasurePlan | null = null;
  private told: Survey | null = null;
  private cameras: readonly PlannedCamera[] = [];

  /** What the first frames said; null before. */
  get survey(): Survey | null {
    return this.told;
  }

  /** The plan that counts; there is one once `next` was called. */
  get current(): MeasurePlan {
    return this.last!;
  }

  get isSurveyed(): boolean {
    return this.told !== null && this.told.noise !== null;
  }

  /** The first frames ask for another channel or scale than the plan that counts has. */
  get isOutdated(): boolean {
    const { channel = "luma", curve } = this.current;
    if (this.told === null) return false;
    return this.told.channel !== channel || (Boolean(this.told.noise?.curve) && curve === undefined);
  }

  takeSurvey(survey: Survey): void {
    this.told = survey;
  }

  /** Roughly where the camera is, for all plans from here on. */
  takeCameras(cameras: readonly PlannedCamera[]): void {
    this.cameras = cameras;
  }

  /** @param files frames that can be decoded; the first is the reference */
  next(
    setup: ShotSetup,
    files: readonly FrameFile[],
    holds: readonly HoldPlan[],
    leftOvers: readonly LeftOverPlan[] = [],
  ): MeasurePlan {
    this.last = {
      revision: (this.last?.revision ?? 0) + 1,
      frames: files,
      width: setup.analysisWidth,
      height: setup.analysisHeight,
      analysisWidth: setup.analysisWidth,
      reference: files[0].frame,
      holds,
      ...(this.cameras.length > 0 ? { cameras: this.cameras } : {}),
      ...(this.told === null ? {} : { channel: this.told.channel }),
      ...(this.told?.noise?.curve ? { curve: this.told.noise.curve } : {}),
      leftOvers,
    };
    return this.last;
  }
}
