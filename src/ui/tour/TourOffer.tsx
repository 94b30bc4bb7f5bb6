import { Button } from "react-aria-components";
import { session } from "../state/session.ts";
import { settings } from "../state/settings.ts";
import { useStore } from "../state/store.ts";
import { steps } from "./steps.ts";
import { startTour } from "./tour-state.ts";

/** Offered once, after the first check: whoever says no, or takes it, isn't asked again. */
export function TourOffer() {
  const seen = useStore(settings, (value) => value.tourSeen);
  const phase = useStore(session, (value) => value.phase);
  if (seen || phase !== "checked") return null;
  const answer = (yes: boolean) => () => {
    settings.set({ tourSeen: true });
    if (yes) startTour();
  };
  return (
    <section className="tour-offer" aria-label="New here?">
      <p>New here?</p>
      <Button className="link" onPress={answer(true)}>
        Take the tour
      </Button>
      <span>{steps.length} stops</span>
      <Button className="link" onPress={answer(false)}>
        Not now
      </Button>
    </section>
  );
}
