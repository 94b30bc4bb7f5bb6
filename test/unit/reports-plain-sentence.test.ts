import { expect, test } from "vitest";
import type { Flag, Forecast } from "../../src/model/index.ts";
import { creepCurve } from "../../src/reports/creep-curve.ts";
import { plainSentence, withoutUncertainty } from "../../src/reports/plain-sentence.ts";
import { frameNumber, px, stops } from "../../src/units/index.ts";
import { createRandom } from "../support/random.ts";
import { flagOf, partOf, reportOf } from "../support/ui-report.ts";

const names = {
  part: (id: string) => ({ arm: "Left upper arm", hat: "Oda's hat" })[id] ?? id,
  joint: (id: string) => ({ shoulder: "Left shoulder", elbow: "Left elbow" })[id] ?? id,
};
const report = reportOf([1, 2, 3, 4], { parts: [partOf("arm"), partOf("hat")] });
const forecast = (more: Partial<Forecast> = {}): Forecast => ({
  law: "linear",
  by: "frames",
  crossings: [{ px: px(2), frame: 9, frameFrom: 8, frameTo: 10, minutes: null, minutesFrom: null, minutesTo: null }],
  rest: null,
  reason: "",
  message: "",
  ...more,
});
const say = (more: Partial<Flag>, exact = false) => plainSentence(flagOf(more), report, names, exact);

test("a sag is told in one plain sentence: whose part, how far, since when, whether it goes on, about which joint", () => {
  const sag = { px: px(1.976), mm: 0.63, sigma: 0.004, joint: "shoulder", forecast: forecast() };
  expect(say(sag)).toBe(
    "Oda’s left upper arm sagged 1.98 px (0.63 mm) from frame 2, still falling; it turns about the left shoulder.",
  );
  expect(say(sag, true)).toBe(
    "Oda’s left upper arm sagged 1.976 ± 0.004 px (0.630 ± 0.001 mm) from frame 2, still falling; it turns about the left shoulder.",
  );
  const ended = {
    to: frameNumber(3),
    forecast: forecast({ crossings: [], reason: "the newest frames show that it has come to rest" }),
  };
  expect(say(ended)).toBe("Oda’s left upper arm sagged 1.00 px from frame 2 to 3, now at rest.");
  expect(say({ part: "hat", kind: "spring-back", alsoJoints: ["elbow"], joint: "shoulder" })).toBe(
    "Oda's hat sprang back upwards 1.00 px from frame 2; it turns about the left shoulder or the left elbow.",
  );
});

test("all other kinds keep the report's own sentence, without uncertainties until they are asked for", () => {
  const message = "Left arm jumped 1.204 ± 0.004 px (0.013 ± 0.001 mm) at frame 3.";
  expect(say({ kind: "knock", message })).toBe("Left arm jumped 1.20 px (0.013 mm) at frame 3.");
  expect(say({ kind: "knock", message }, true)).toBe(message);
  expect(withoutUncertainty("lost 12 ± 1 % of its sharpness")).toBe("lost 12 % of its sharpness");
});

test("light is told in stops beside its percent, as the strips tell it", () => {
  const light = {
    kind: "light" as const,
    part: null,
    px: null,
    stops: stops(-0.089),
    sigma: 0.002,
    message: "The light dropped 6.0 ± 0.1 % at frame 3 alone.",
  };
  expect(say(light)).toBe("The light dropped 6.0 % (0.089 stops) at frame 3 alone.");
  expect(say(light, true)).toBe("The light dropped 6.0 ± 0.1 % (0.089 ± 0.002 stops) at frame 3 alone.");
});

test("the law of a forecast is found again from the course, and goes on as it does", () => {
  const random = createRandom(5);
  const laws = {
    linear: (t: number) => 0.05 * t,
    exponential: (t: number) => 2 * (1 - Math.exp(-t / 12)),
    logarithmic: (t: number) => 0.6 * Math.log1p(t / 4),
  };
  for (const [law, truth] of Object.entries(laws) as [keyof typeof laws, (t: number) => number][]) {
    const course = Array.from({ length: 40 }, (_, i) => ({
      frame: frameNumber(i + 1),
      px: px(truth(i) + 0.004 * random.normal()),
      sigma: px(0.004),
    }));
    const flag = flagOf({ from: frameNumber(1), to: frameNumber(40), course, forecast: forecast({ law }) });
    const curve = creepCurve(flag, (frame) => frame);
    for (const frame of [1, 10, 39, 50])
      expect(Math.abs((curve?.(frame) ?? 9) - truth(frame - 1)), law).toBeLessThan(0.03);
  }
  expect(creepCurve(flagOf({ forecast: forecast({ law: null }) }), (frame) => frame)).toBeNull();
});
