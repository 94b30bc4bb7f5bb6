import { createMeasurer } from "../../src/analysis/measurer.ts";
import { openWorkspace } from "../kernels.ts";
import { fileOpener } from "./opener.ts";
import { serve } from "./serve.ts";

serve(createMeasurer(fileOpener(), await openWorkspace()));
