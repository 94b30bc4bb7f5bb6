import { createJudge } from "../../src/analysis/judge-session.ts";
import { serve } from "./serve.ts";

serve(createJudge());
