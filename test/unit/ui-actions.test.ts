// @vitest-environment happy-dom
import { beforeEach, expect, test } from "vitest";
import { actionList, actions, keyName, tipOf } from "../../src/ui/actions.ts";
import { lookAtAll, pan, zoom } from "../../src/ui/state/look.ts";
import { anchorNow, choose, framesNow, goTo, nextFlag } from "../../src/ui/state/looking.ts";
import { screen } from "../../src/ui/state/screen.ts";
import { session } from "../../src/ui/state/session.ts";
import { createStore } from "../../src/ui/state/store.ts";
import { view } from "../../src/ui/state/view.ts";
import { stripsOf } from "../../src/ui/strips/strips.ts";
import { createPart, createSheet } from "../../src/model/index.ts";
import { frameNumber, px } from "../../src/units/index.ts";
import { flagOf, partOf, reportOf, rowOf } from "../support/ui-report.ts";

beforeEach(() => {
  const report = reportOf([1, 2, 3, 4, 5], {
    parts: [partOf("arm"), partOf("hand", { carrier: "arm" })],
    tracks: [2, 3, 4, 5].map((frame) => rowOf("arm", frame, { anchor: frameNumber(frame < 4 ? 1 : 3) })),
    flags: [
      flagOf({ id: "late", kind: "knock", part: "hand", from: frameNumber(4), to: frameNumber(5) }),
      flagOf({ id: "early", from: frameNumber(2), to: frameNumber(3), carries: ["hand"] }),
    ],
  });
  session.set({ phase: "checked", report, strips: stripsOf(report, null), files: null, blank: false });
  view.set({ frame: 1, strip: null, flag: null });
  lookAtAll();
});

test("no key stands for two things that can be done at the same time", () => {
  const points = [
    [px(1), px(1)],
    [px(9), px(1)],
    [px(5), px(9)],
  ] as const;
  const outlines = [{ frame: frameNumber(1), points, holes: [] }];
  session.set({ sheet: createSheet("hive_010", [createPart({ id: "arm", name: "Arm", kind: "limb", outlines })]) });
  const states = ["shot", "parts"].flatMap((now) =>
    (["checking", "checked"] as const).map((phase) => ({ now, phase })),
  );
  for (const { now, phase } of states) {
    screen.set({ now });
    session.set({ phase });
    choose("arm");
    const taken = new Map<string, string>();
    for (const action of actionList.filter((each) => each.when())) {
      for (const key of action.keys) {
        expect(taken.get(key), `${key} for ${action.label}`).toBeUndefined();
        taken.set(key, action.label);
      }
    }
    view.set({ strip: null });
  }
  screen.set({ now: "" });
  session.set({ sheet: null });
});

test("every action has words, and its tip names its key as it stands on the keyboard", () => {
  for (const action of actionList) expect(action.label).toMatch(/^[A-Z]/);
  expect(tipOf(actions.flip)).toBe("Flip (2)");
  expect(keyName("Shift+ArrowLeft")).toBe("Shift \u2190");
  expect(keyName("+")).toBe("+");
});

test("findings are gone through in the order of their first frames, round and round", () => {
  nextFlag(1);
  expect(view.get()).toMatchObject({ flag: "early", strip: "arm", frame: 3 });
  nextFlag(1);
  expect(view.get()).toMatchObject({ flag: "late", strip: "hand", frame: 5 });
  nextFlag(1);
  expect(view.get().flag).toBe("early");
  nextFlag(-1);
  expect(view.get().flag).toBe("late");
});

test("choosing a part chooses its flag, choosing it again lets go", () => {
  choose("arm");
  expect(view.get()).toMatchObject({ strip: "arm", flag: "early" });
  choose("arm");
  expect(view.get()).toMatchObject({ strip: null, flag: null });
});

test("pictures are compared with the anchor of the chosen part, else with the first frame", () => {
  goTo(5);
  expect(anchorNow()).toBe(1);
  choose("arm");
  expect(anchorNow()).toBe(3);
});

test("a frame that isn't there gives the nearest one", () => {
  expect(framesNow()).toEqual([1, 2, 3, 4, 5]);
  goTo(99);
  expect(view.get().frame).toBe(5);
});

test("looking closer keeps the place under the pointer, and never leaves the frame", () => {
  zoom(4, [0.25, 0.5]);
  const { look } = view.get();
  expect(look.scale).toBe(4);
  // The place was a quarter from the left of what was seen, which was everything, and still is.
  expect((0.25 - (look.x - 0.5 / look.scale)) * look.scale).toBeCloseTo(0.25, 9);
  pan(-5, -5);
  expect(view.get().look.x).toBeCloseTo(0.125, 9);
  zoom(1 / 100);
  expect(view.get().look).toEqual({ scale: 1, x: 0.5, y: 0.5 });
});

test("a store tells its listeners of changes alone", () => {
  const store = createStore({ a: 1, b: 2 });
  let told = 0;
  const end = store.listen(() => {
    told += 1;
  });
  store.set({ a: 1 });
  expect(told).toBe(0);
  store.set({ a: 3 });
  expect(told).toBe(1);
  end();
  store.set({ a: 4 });
  expect(told).toBe(1);
});
