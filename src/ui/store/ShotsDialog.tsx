import { useState } from "react";
import { Button, Dialog, Heading, Modal, ModalOverlay } from "react-aria-components";
import type { Production, ShotRecord } from "../../model/index.ts";
import { counted } from "../../reports/words.ts";
import { chooseImport, exchange, exportStore } from "../state/exchange.ts";
import { openKept } from "../state/open-kept.ts";
import { removeShot } from "../state/removing.ts";
import { shots } from "../state/shots.ts";
import { storage } from "../state/storage.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { MoveShot } from "./MoveShot.tsx";
import { ProductionName } from "./ProductionName.tsx";
import { ShotPicture } from "./ShotPicture.tsx";
import { dayInWords, foundInWords, titleOf } from "./words.ts";

const close = () => view.set({ dialog: null });

/** All shots that are kept, by production: open one, name a production, remove one. */
export function ShotsDialog() {
  const isOpen = useStore(view, (value) => value.dialog === "shots");
  return (
    <ModalOverlay className="veil" isDismissable isOpen={isOpen} onOpenChange={(open) => !open && close()}>
      <Modal className="modal wide">
        <Dialog className="dialog shots-dialog">
          <Heading slot="title">Shots that are kept</Heading>
          <Body />
          <Footer />
        </Dialog>
      </Modal>
    </ModalOverlay>
  );
}

function Footer() {
  const doing = useStore(exchange, (value) => value.doing);
  const { done, total } = useStore(exchange, (value) => value);
  const isEmpty = useStore(shots, (value) => value.shots.length === 0);
  const isClosed = useStore(storage, (value) => value.phase === "closed");
  return (
    <footer>
      <span className="exchange-progress" role="status">
        {doing === "exporting" && `Exporting: ${done} of ${counted(total, "shot")}`}
        {doing === "reading" && "Reading the file"}
      </span>
      {/* Not disabled while it works: a disabled button loses the focus, and Escape would no longer close anything. */}
      <Button className="button" isDisabled={isClosed} onPress={() => void chooseImport()}>
        Import a file
      </Button>
      <Button className="button" isDisabled={isEmpty || isClosed} onPress={() => void exportStore(null)}>
        Export everything
      </Button>
      <Button className="button" onPress={close}>
        Close
      </Button>
    </footer>
  );
}

function Body() {
  const { shots: list, productions } = useStore(shots, (value) => value);
  const { phase, reason } = useStore(storage, (value) => value);
  const [asked, setAsked] = useState<string | null>(null);
  if (phase === "closed") return <p>This browser keeps nothing for this page: {reason}.</p>;
  if (list.length === 0) {
    return (
      <p>
        None yet. Every shot that is opened here is kept in this browser, with its sheet, its report and what was
        decided about it. Frames stay where they are.
      </p>
    );
  }
  const known = new Set(productions.map(({ id }) => id));
  const groups: readonly (Production | null)[] = [...productions, null];
  return (
    <>
      {groups.map((production) => {
        const own = list.filter((shot) =>
          production === null ? !known.has(shot.production) : shot.production === production.id,
        );
        if (own.length === 0) return null;
        return (
          <section key={production?.id ?? ""} className="shots-group">
            {production === null ? <h3>Without a production</h3> : <ProductionName production={production} />}
            <ul>
              {own.map((shot) => (
                <li key={shot.id} className="shots-row">
                  <ShotPicture shot={shot} />
                  <span className="recent-words">
                    <strong>{titleOf(shot)}</strong>
                    <span>
                      {counted(shot.frameCount, "frame")}, {dayInWords(shot)}
                    </span>
                    <span>{foundInWords(shot)}</span>
                  </span>
                  {asked === shot.id ? (
                    <Asked shot={shot} onEnd={() => setAsked(null)} />
                  ) : (
                    <span className="shots-tools">
                      <Button
                        className="button small"
                        aria-label={`Open ${titleOf(shot)}`}
                        onPress={() => {
                          close();
                          void openKept(shot.id);
                        }}
                      >
                        Open
                      </Button>
                      <MoveShot shot={shot} productions={productions} />
                      <Button
                        className="button small"
                        aria-label={`Export ${titleOf(shot)}`}
                        onPress={() => void exportStore(shot)}
                      >
                        Export
                      </Button>
                      <Button
                        className="button small"
                        aria-label={`Remove ${titleOf(shot)}`}
                        onPress={() => setAsked(shot.id)}
                      >
                        Remove
                      </Button>
                    </span>
                  )}
                </li>
              ))}
            </ul>
          </section>
        );
      })}
    </>
  );
}

/** What goes, and what stays. */
function Asked({ shot, onEnd }: { readonly shot: ShotRecord; readonly onEnd: () => void }) {
  return (
    <div className="shots-asked" role="alertdialog" aria-label={`Remove ${titleOf(shot)}?`}>
      <p>
        Its sheet, report, verdicts, notes and small pictures go from this browser. Its frames stay where they are, and
        so do its puppets and their repairs.
      </p>
      <Button className="button small" onPress={onEnd}>
        Keep it
      </Button>
      <Button
        className="button small strong"
        onPress={() => {
          onEnd();
          void removeShot(shot.id);
        }}
      >
        Remove it
      </Button>
    </div>
  );
}
