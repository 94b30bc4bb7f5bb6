import { SHEET_FILE } from "../model/conventions.ts";
import { UNMEASURED_SHARE } from "../reports/coverage.ts";
import { GIGABYTES_A_THREAD } from "./threads.ts";

const share = UNMEASURED_SHARE === 0.1 ? "a tenth" : `${UNMEASURED_SHARE * 100} %`;

export const help = `Compares the captured frames of a stop-motion shot and flags what moved that nobody meant to move.

  holdfast check FRAMES [options]

FRAMES is a folder of numbered stills, JPEG or PNG (hive_010_0001.jpg and its like). They are only ever read.

  --sheet FILE      who does what when; without it ${SHEET_FILE} in FRAMES, where there is one
  --json FILE       write the report as JSON ("-": to stdout, the summary then goes to stderr)
  --band PX         flag what drifts by this many pixels, instead of every other band in pixels
  --sequence NAME   the sequence to check where the folder holds several; otherwise the longest
  --threads N       frames measured at once; otherwise one a core, if there are ${GIGABYTES_A_THREAD} GB of memory for each
  -q, --quiet       no progress
  -h, --help        this text
  --version         the version

The exit code says how it went:
  0  checked, nothing flagged
  1  something is flagged
  2  nothing checked: no readable frames, a sheet that is refused, wrong arguments
  3  nothing flagged, but frames could not be read, or a part could not be measured in more than ${share} of the
     frames in which it is visible
`;
