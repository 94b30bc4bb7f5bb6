import "@fontsource-variable/atkinson-hyperlegible-next/wght.css";
import "./look/tokens.css";
import "./look/base.css";
import "./look/frame.css";
import "./look/welcome.css";
import "./look/table.css";
import "./look/timeline.css";
import "./look/lane.css";
import "./look/side.css";
import "./look/dialogs.css";
import "./look/workshop.css";
import "./look/parts.css";
import "./look/tour.css";
import "./look/pages.css";
import { createRoot } from "react-dom/client";
import { App } from "./App.tsx";
import { listenToKeys } from "./keys.ts";
import { keepTime } from "./state/playing.ts";
import { keepReading } from "./state/reading.ts";
import { listenToAddress } from "./state/screen.ts";
import { keepSettings } from "./state/settings.ts";
import { keepWorkshop } from "./workshop/workshop-state.ts";

// Before the first drawing, so that the ground is right and no key is lost; they run as long as the page does.
keepSettings();
keepReading();
listenToKeys();
keepTime();
listenToAddress();
keepWorkshop();

const root = document.getElementById("root");
if (root) createRoot(root).render(<App />);
