import { changeDown, changeShot, setScale } from "../../model/edit/index.ts";
import { fixed } from "../../reports/words.ts";
import { degrees } from "../../units/index.ts";
import { typedNumber } from "../../workshop/quantities.ts";
import { Button } from "react-aria-components";
import { edit, sheetNow } from "../state/sheet-editing.ts";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { frameNumber } from "../../units/index.ts";
import { EditField, Refusal } from "./EditField.tsx";

type Shot = Parameters<typeof changeShot>[1];

/** What the sheet says of the shot as a whole. */
export function ShotFields() {
  // Anew where the sheet changes; without one what an empty sheet would say.
  useStore(session, (value) => value.sheet);
  const range = useStore(view, (value) => value.range);
  const sheet = sheetNow();
  const { shot, scale, down } = sheet;
  const change = (fields: Shot, words: string, field: string) =>
    edit(words, (now, context) => changeShot(now, fields, context), field);
  const off = (Math.atan2(down[0], down[1]) * 180) / Math.PI;
  return (
    <details className="shot-fields">
      <summary>The shot: rate, scale, gravity, cut</summary>
      <div className="part-form">
        <EditField
          numeric
          label="Frames a second"
          field="shot.fps"
          value={String(shot.fps)}
          commit={(text) => change({ fps: typedNumber(text) }, "changed the rate", "shot.fps")}
        />
        <EditField
          label="Timecode of frame 0"
          field="shot.timecodeStart"
          value={shot.timecodeStart ?? ""}
          commit={(text) =>
            change(
              { timecodeStart: text.trim() === "" ? null : text.trim() },
              "changed the timecode",
              "shot.timecodeStart",
            )
          }
        />
        <EditField
          numeric
          label="Scale"
          unit="px/mm"
          field="scale"
          value={scale === null ? "" : String(scale.pxPerMm)}
          note="or draw a known length"
          commit={(text) =>
            edit(
              "changed the scale of the shot",
              (now, context) => setScale(now, text.trim() === "" ? null : typedNumber(text), context),
              "scale",
            )
          }
        />
        <EditField
          numeric
          label="Gravity into the picture"
          unit="°"
          field="downIntoPicture"
          value={sheet.downIntoPicture === 0 ? "" : String(sheet.downIntoPicture)}
          note={`in it: ${Math.abs(off) < 0.05 ? "straight down" : `${fixed(Math.abs(off), 1)}° ${off > 0 ? "right" : "left"}`}`}
          commit={(text) =>
            edit(
              "changed gravity",
              (now, context) =>
                changeDown(now, { downIntoPicture: degrees(text.trim() === "" ? 0 : typedNumber(text)) }, context),
              "downIntoPicture",
            )
          }
        />
        <div className="part-remove">
          <p className="part-note">
            {shot.cut === null
              ? "All frames are used in the film."
              : `Frames ${shot.cut[0]} to ${shot.cut[1]} are used in the film.`}
          </p>
          <div className="button-row">
            <Button
              className="button small"
              isDisabled={range === null}
              onPress={() =>
                range && change({ cut: [frameNumber(range.from), frameNumber(range.to)] }, "set the cut", "shot.cut")
              }
            >
              {range === null ? "Cut to a range that is selected" : `Cut to ${range.from} to ${range.to}`}
            </Button>
            {shot.cut !== null && (
              <Button className="button small" onPress={() => change({ cut: null }, "removed the cut", "shot.cut")}>
                Use all
              </Button>
            )}
          </div>
          <Refusal field="shot.cut" />
        </div>
      </div>
    </details>
  );
}
