import { Button, Dialog, Heading, Modal, ModalOverlay } from "react-aria-components";
import { settleClash } from "../state/keeping.ts";
import { storage } from "../state/storage.ts";
import { useStore } from "../state/store.ts";

/** Two tabs changed one thing: which of both stays? */
export function ClashDialog() {
  const clashes = useStore(storage, (value) => value.clashes);
  const clash = clashes[0] ?? null;
  return (
    <ModalOverlay className="veil" isOpen={clash !== null}>
      <Modal className="modal">
        <Dialog className="dialog" role="alertdialog">
          <Heading slot="title">Changed in two tabs</Heading>
          {clash && (
            <p>
              While you changed {clash.what} here, another tab changed it too. Nothing is lost yet: which one is to
              stay?
            </p>
          )}
          <footer>
            <Button className="button" onPress={() => clash && void settleClash(clash, false)}>
              The other tab's
            </Button>
            <Button className="button strong" onPress={() => clash && void settleClash(clash, true)}>
              Mine, from here
            </Button>
          </footer>
        </Dialog>
      </Modal>
    </ModalOverlay>
  );
}
