import type { FlowField } from "../../protocol/pictures.ts";
import { otherNow } from "../state/looking.ts";
import { pictures } from "../state/pictures.ts";
import { addNotice, session } from "../state/session.ts";
import { createStore } from "../state/store.ts";
import { view } from "../state/view.ts";

type Field = FlowField & { readonly width: number };

/** Whether the dense field is being found; words for it stand on the table. */
export const flowState = createStore<{ readonly working: boolean }>({ working: false });

export interface Flow {
  /** The field of the frame that is up; null until it is found. */
  current(): Field | null;
  end(): void;
}

/** The dense field for the arrows view, found for the frame that is up, one at a time; the last one is kept. */
export function createFlow(onField: () => void): Flow {
  let field: Field | null = null;
  let key = "";
  let busy = false;
  let refused = "";
  let ended = false;
  let shot = session.get().files;
  const pump = async () => {
    const { picture, frame } = view.get();
    const { files } = session.get();
    if (shot !== files) {
      // Another shot may have files of the same names.
      [shot, key, refused] = [files, "", ""];
    }
    const anchor = files?.get(otherNow() ?? -1);
    const current = files?.get(frame);
    if (picture !== "arrows" || busy || ended || !anchor || !current || anchor === current) return;
    const wanted = `${anchor.file}>${current.file}`;
    if (wanted === key || wanted === refused) return;
    busy = true;
    flowState.set({ working: true });
    const answer = await pictures.flow(anchor, current);
    busy = false;
    flowState.set({ working: false });
    if (ended) return;
    const isStale = shot !== session.get().files;
    if (answer.ok && !isStale) {
      field = answer.value;
      key = wanted;
      onField();
    } else if (!answer.ok && !isStale && answer.code !== "cancelled") {
      refused = wanted;
      addNotice("The dense field could not be found", [
        answer.detail,
        "The arrows of the parts are the measured ones and stay.",
      ]);
    }
    void pump();
  };
  return {
    current() {
      void pump();
      const { frame } = view.get();
      const { files } = session.get();
      return key === `${files?.get(otherNow() ?? -1)?.file}>${files?.get(frame)?.file}` ? field : null;
    },
    end() {
      ended = true;
    },
  };
}
