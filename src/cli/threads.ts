import os from "node:os";

/** Memory that a measuring thread may need: a large frame decoded, and the few that it keeps. */
export const GIGABYTES_A_THREAD = 1;

/** One thread a core, fewer where memory is short; at least one. */
export const defaultThreads = (): number =>
  Math.max(1, Math.min(os.availableParallelism(), Math.floor(os.totalmem() / 2 ** 30 / GIGABYTES_A_THREAD)));
