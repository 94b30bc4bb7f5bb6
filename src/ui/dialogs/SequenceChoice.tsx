import { useState } from "react";
import { Button, Dialog, Heading, Modal, ModalOverlay, Radio, RadioGroup } from "react-aria-components";
import { session } from "../state/session.ts";
import { useStore } from "../state/store.ts";
import { chooseNoShot, chooseShot } from "../state/opening.ts";
import { counted } from "../../reports/words.ts";

/** A folder that holds several shots: which one? */
export function SequenceChoice() {
  const choices = useStore(session, (value) => value.choices);
  const isOpen = choices.length > 0;
  const longest = choices.reduce<(typeof choices)[number] | null>(
    (best, each) => (best === null || each.count > best.count ? each : best),
    null,
  );
  const [picked, setPicked] = useState<string | null>(null);
  const chosen = choices.some((choice) => choice.name === picked) ? picked : (longest?.name ?? null);
  return (
    <ModalOverlay className="veil" isDismissable isOpen={isOpen} onOpenChange={(open) => !open && chooseNoShot()}>
      <Modal className="modal">
        <Dialog className="dialog">
          <Heading slot="title">{choices.length} sequences in this folder</Heading>
          <RadioGroup className="choices" aria-label="Sequence to check" value={chosen} onChange={setPicked}>
            {choices.map((choice) => (
              <Radio key={choice.name} value={choice.name} className="choice">
                <strong>{choice.name}</strong>
                <span>
                  {counted(choice.count, "frame")}, {choice.first} to {choice.last}
                </span>
              </Radio>
            ))}
          </RadioGroup>
          <footer>
            <Button className="button" onPress={chooseNoShot}>
              Not now
            </Button>
            <Button className="button strong" onPress={() => chosen !== null && chooseShot(chosen)}>
              Check it
            </Button>
          </footer>
        </Dialog>
      </Modal>
    </ModalOverlay>
  );
}
