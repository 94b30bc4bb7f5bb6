import { useEffect, useRef } from "react";
import { Button, Dialog, Heading, OverlayArrow, Popover } from "react-aria-components";
import { useStore } from "../state/store.ts";
import { steps } from "./steps.ts";
import { goTo, leaveTour, tour } from "./tour-state.ts";

/** One stop of the tour after the other, each beside what it tells about. It can be left at any of them. */
export function Tour() {
  const at = useStore(tour, (value) => value.at);
  return at === null ? null : <Stop key={at} at={at} />;
}

function Stop({ at }: { readonly at: number }) {
  const step = steps[at];
  const place = useRef<Element | null>(null);
  place.current ??= document.querySelector(step.at);
  useEffect(() => {
    const element = place.current;
    if (!(element instanceof HTMLElement)) return undefined;
    element.dataset["toured"] = "";
    return () => {
      delete element.dataset["toured"];
    };
  }, []);
  // Whoever walks through by keyboard has the way on in hand.
  const next = useRef<HTMLButtonElement>(null);
  useEffect(() => next.current?.focus(), []);
  const last = at === steps.length - 1;
  return (
    <Popover
      className="tour"
      triggerRef={place}
      placement={step.side}
      isOpen
      isNonModal
      offset={step.inside ? -120 : 10}
      containerPadding={16}
      onOpenChange={(open) => {
        if (!open) leaveTour();
      }}
    >
      <OverlayArrow className="tour-arrow" />
      <Dialog className="tour-words">
        <Heading slot="title">{step.title}</Heading>
        <p>{step.text}</p>
        <footer>
          <span className="tour-count">
            {at + 1} of {steps.length}
          </span>
          <Button className="button quiet" onPress={leaveTour}>
            Leave
          </Button>
          <Button className="button" isDisabled={at === 0} onPress={() => goTo(at - 1, -1)}>
            Back
          </Button>
          <Button className="button strong" ref={next} onPress={() => goTo(at + 1, 1)}>
            {last ? "Done" : "Next"}
          </Button>
        </footer>
      </Dialog>
    </Popover>
  );
}
