import { createMeasurer } from "../../src/analysis/measurer.ts";
import { fileOpener } from "./opener.ts";
import { serve } from "./serve.ts";

serve(createMeasurer(fileOpener()));
