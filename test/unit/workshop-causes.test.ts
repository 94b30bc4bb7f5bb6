import { describe, expect, test } from "vitest";
import { builds, type Build, everyPartKind, type FlagKind, flagKinds, type PartKind } from "../../src/model/index.ts";
import { builtIn } from "../../src/workshop/built-in.ts";
import type { CautionId } from "../../src/workshop/cautions.ts";
import { causeSchema, fixSchema } from "../../src/workshop/knowledge.ts";
import { rankCauses } from "../../src/workshop/rank.ts";
import { signs as everySign, type Sign, type Signs } from "../../src/workshop/signs.ts";

const ask = (kind: FlagKind, part: PartKind | null, build: Build | null = null, ...seen: Sign[]) =>
  rankCauses(builtIn, {
    kind,
    part,
    build,
    signs: Object.fromEntries(seen.map((sign) => [sign, `measured: ${sign}`])),
  });
const order = (...question: Parameters<typeof ask>) => ask(...question).ranked.map(({ cause }) => cause.id);

describe("what comes with the tool", () => {
  test("every cause and fix keeps to the schema that a workshop's own must keep to", () => {
    for (const cause of builtIn.causes) expect(causeSchema.parse(cause)).toEqual(cause);
    for (const fix of builtIn.fixes) expect(fixSchema.parse(fix)).toEqual(fix);
  });

  test("ids are there once, every fix that is named exists, and every fix cures something", () => {
    for (const list of [builtIn.causes, builtIn.fixes])
      expect(new Set(list.map(({ id }) => id)).size).toBe(list.length);
    const fixes = new Set(builtIn.fixes.map(({ id }) => id));
    const named = new Set(builtIn.causes.flatMap((cause) => cause.fixes));
    expect([...named].filter((id) => !fixes.has(id))).toEqual([]);
    expect([...fixes].filter((id) => !named.has(id))).toEqual([]);
  });

  test("every kind of flag has causes to look at", () => {
    const wanted: readonly (readonly [FlagKind, PartKind | null])[] = [
      ...(["sag", "spring-back", "knock", "pop"] as const).flatMap((kind) =>
        (["limb", "head", "hand", "body", "found"] as const).map((part) => [kind, part] as const),
      ),
      ["crawl", "costume"],
      ["boil", "costume"],
      ["boil", "hair"],
      ["skin-shift", "skin"],
      ["seating", "face"],
      ["seating", "eye"],
      ["set-shift", "prop"],
      ["set-shift", "set"],
      ["set-shift", "support"],
      ["set-shift", null],
      ...(["camera-shift", "soft", "light", "stray", "repeat"] as const).map((kind) => [kind, null] as const),
    ];
    for (const [kind, part] of wanted) expect(order(kind, part).length, `${kind} of ${part}`).toBeGreaterThan(0);
    expect(new Set(wanted.map(([kind]) => kind))).toEqual(new Set(flagKinds));
  });

  test("facts of the trade are marked as such", () => {
    for (const each of [...builtIn.causes, ...builtIn.fixes]) expect(each.basis).toBe("common practice, no source");
  });

  test("no stopgap tells anyone to turn screws or hang weights, and all work on a puppet's armature carries the caution", () => {
    for (const { id, stopgap } of builtIn.causes) {
      expect(stopgap, id).not.toMatch(/\b(screws?|tighten|tension|hang|weights?)\b/iu);
    }
    for (const fix of builtIn.fixes) {
      const handsOn = /\b(hang|tension|screw|braze|wire)\b/iu.test(fix.steps.join(" "));
      const offSet = /\b(mid-shot)\b/u.test(fix.cautions.join(" "));
      const puppet = builtIn.causes.some((cause) => cause.fixes.includes(fix.id) && cause.builds !== null);
      if (handsOn && puppet) expect(offSet, fix.id).toBe(true);
    }
  });

  test("work that can hurt carries its caution", () => {
    const needs: readonly (readonly [RegExp, CautionId])[] = [
      [/isopropyl|solvent/iu, "solvent"],
      [/braze|torch/iu, "brazing"],
      [/silicone adhesive|two-part silicone/iu, "silicone"],
      [/epoxy/iu, "resin"],
      [/neodymium|magnets?\b/iu, "magnets"],
      [/scissors|ripper|cutters/iu, "blades"],
      [/abrasive|burr|rotary/iu, "dust"],
      [/electrician|regulated supply|replace the lamp/iu, "mains"],
    ];
    const missing = builtIn.fixes.flatMap((fix) => {
      const words = [fix.title, ...fix.steps, ...fix.material, ...fix.tools].join(" ");
      return needs.flatMap(([pattern, caution]) =>
        pattern.test(words) && !fix.cautions.includes(caution) ? [`${fix.id}: ${caution}`] : [],
      );
    });
    expect(missing).toEqual([]);
  });

  test("every sign speaks for or against some cause", () => {
    const used = new Set(
      builtIn.causes.flatMap(({ evidence, ruledOutBy }) => [...evidence, ...ruledOutBy].map(({ sign }) => sign)),
    );
    expect(everySign.filter((sign) => !used.has(sign))).toEqual([]);
  });
});

describe("ranking by evidence", () => {
  test("an arm with ball joints that turned about its shoulder along gravity: the ball first, with the reasons", () => {
    const { ranked, ruledOut } = ask("sag", "limb", "ball", "pivot-on-joint", "down", "carries", "smooth");
    expect(ranked[0].cause.id).toBe("ball-turns");
    expect(ranked[0].reasons.map(({ sign, points }) => [sign, points])).toEqual([
      ["pivot-on-joint", 3],
      ["down", 2],
      ["smooth", 1],
      ["carries", 1],
    ]);
    expect(ranked[0].reasons[0].measured).toBe("measured: pivot-on-joint");
    expect(ranked[0].wouldTell).toContain("slowing");
    expect(ranked[0].wouldTell).not.toContain("sideways");
    expect(ruledOut.find(({ cause }) => cause.id === "tired-wire")?.why).toBe(
      "It needs wire; the sheet says that this part has ball joints.",
    );
  });

  test("the same arm that went by jumps has a galled ball, one that went about none of its joints a creeping support", () => {
    const rank = (id: string, ...seen: Sign[]) => order("sag", "limb", "ball", ...seen).indexOf(id);
    expect(rank("galled-ball", "pivot-on-joint", "stick-slip")).toBeLessThan(
      rank("greasy-ball", "pivot-on-joint", "stick-slip"),
    );
    expect(order("sag", "limb", "ball", "pivot-on-joint", "stick-slip")[0]).toMatch(/^(galled-ball|ball-turns)$/);
    const off: Sign[] = ["pivot-off-joint", "down", "several-parts"];
    expect(rank("support-arm-creeps", ...off)).toBeLessThan(rank("ball-turns", ...off));
  });

  test("a figure that leans as one about its foot: tie-down before any joint", () => {
    expect(order("sag", "body", "ball", "at-root", "carries", "several-parts")[0]).toBe("loose-tie-down");
  });

  test("what went up is ruled out where only weight could be the cause", () => {
    const { ruledOut } = ask("sag", "limb", "ball", "up");
    expect(ruledOut.map(({ cause }) => cause.id)).toEqual(expect.arrayContaining(["ball-turns", "load-above-joint"]));
  });

  test("spring-back right after a bend: the wire's in a wired hand, the skin's in a ball-jointed one", () => {
    expect(order("spring-back", "hand", "wire", "after-touch", "slowing")[0]).toBe("wire-springs");
    expect(order("spring-back", "hand", "ball", "after-touch", "slowing", "up")[0]).toBe("skin-pulls");
  });

  test("a lamp dims one region, the mains all of the frame and come back", () => {
    expect(order("light", null, null, "one-area", "stays")[0]).toBe("lamp-dims");
    expect(order("light", null, null, "all-over", "comes-back")[0]).toMatch(
      /^(mains-voltage-drops|iris-not-alike|exposure-varies)$/,
    );
    expect(order("light", null, null, "one-area", "comes-back")[0]).toMatch(/^(pale-shirt|lamp-dims)$/);
  });

  test("a camera that creeps and slows has a mount that settles; one that stepped over a break parked elsewhere", () => {
    expect(order("camera-shift", null, null, "slowing", "smooth", "down")[0]).toBe("mount-creeps");
    expect(order("camera-shift", null, null, "over-break", "stays")[0]).toMatch(
      /^(camera-touched|lens-or-sensor-reparks)$/,
    );
  });

  test("cloth: an area that let go is a lost stitch, the whole piece sliding down a lining", () => {
    expect(order("crawl", "costume", null, "one-area")[0]).toBe("lost-tacking");
    expect(order("crawl", "costume", null, "all-over", "down")[0]).toBe("slippery-lining");
  });

  test("no measurement only moves what it speaks of: a sign that no cause knows changes no order", () => {
    const none: Signs = {};
    for (const kind of flagKinds) {
      for (const part of [...everyPartKind, null]) {
        for (const build of [...builds, null]) {
          const { ranked, ruledOut } = rankCauses(builtIn, { kind, part, build, signs: none });
          expect(ranked.every(({ score, cause }) => score === cause.usual)).toBe(true);
          expect(ranked.every((each, i) => i === 0 || each.score <= ranked[i - 1].score)).toBe(true);
          if (build === null) expect(ruledOut).toEqual([]);
        }
      }
    }
  });

  test("a fix that stopped the drift here brings its cause up, one that never did down", () => {
    const question = { kind: "sag", part: "limb", build: "ball", signs: {} } as const;
    const first = (successOf: (id: string) => number) => rankCauses(builtIn, question, successOf).ranked[0].cause.id;
    expect(first(() => 0.5)).toBe("ball-turns");
    expect(first((id) => (id === "lighten-or-support" ? 0.9 : id === "tighten-ball-joint" ? 0.1 : 0.5))).not.toBe(
      "greasy-ball",
    );
    const ranked = rankCauses(builtIn, question, (id) => (id === "degrease-ball" ? 0.9 : 0.3)).ranked;
    expect(ranked[0].fixes[0].id).toBe("degrease-ball");
  });
});
