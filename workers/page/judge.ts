import { expose } from "comlink";
import { createJudge } from "../../src/analysis/judge-session.ts";

expose(createJudge());
