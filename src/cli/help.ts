import { SHEET_FILE } from "../model/conventions.ts";
import { UNMEASURED_SHARE } from "../reports/coverage.ts";
import { levels } from "../reports/bench/rows.ts";
import { departments } from "../reports/dailies/department.ts";
import { dailiesFormats, verdictStates } from "./dailies-arguments.ts";
import { GIGABYTES_A_THREAD } from "./threads.ts";
import { orders, triageFormats, usualLevels } from "./triage-arguments.ts";

const share = UNMEASURED_SHARE === 0.1 ? "a tenth" : `${UNMEASURED_SHARE * 100} %`;

export const help = `Compares the captured frames of a stop-motion shot and flags what moved that nobody meant to move.

  holdfast check FRAMES... [options]
  holdfast prove FRAMES [options]
  holdfast dailies REPORT... [options]
  holdfast triage REPORT... [options]

check says what drifted. prove puts a known drift into each held part of these frames, in memory, measures it the same
way, and says what came back and how small a drift the shot can show. dailies makes the notes of the day from reports.
triage lists the puppets, parts and joints that drift most over many reports.

FRAMES is a folder of numbered stills, JPEG or PNG (hive_010_0001.jpg and its like). They are only ever read.
check takes several folders, one after another, and goes on past a bad one. REPORT is a report file, a folder with
report files in it, or a file that the page exported (.zip): its shots are told with verdicts, notes and pictures.

  --sheet FILE      who does what when; without it ${SHEET_FILE} in FRAMES, where there is one
  --json FILE       write the report or the proof as JSON ("-": to stdout, the words then go to stderr); where several
                    folders are checked, a folder for their reports
  --band PX         check: flag what drifts by this many pixels, instead of every other band in pixels
  --compare REPORT  check: the report of another pass of the same camera move; says where the camera was elsewhere
  --propose FILE    check: look without a sheet, and write one with what was found, to be accepted or corrected
  --part ID         prove: only this part of the sheet; otherwise every held one
  --sequence NAME   the sequence to take where the folder holds several; otherwise the longest
  --threads N       frames measured at once; otherwise one a core, if there are ${GIGABYTES_A_THREAD} GB of memory for each
  --store FILE      dailies, triage: a file that the page exported; verdicts, notes, repairs and pictures of the shots
                    that are told are taken from it, its other shots are left out
  --frames FOLDER   dailies as html: where the frames are, or the shots' folders; otherwise they are looked for beside
                    the reports. Pictures are cut from them, else from the small ones of an export
  --out FILE        dailies, triage: write to this file; otherwise to stdout
  --format FORMAT   dailies: ${dailiesFormats.join(", ")} (camera and light for compositing, as CSV);
                    otherwise by the ending of FILE, Markdown on stdout
                    triage: ${triageFormats.join(" or ")}; otherwise by the ending of FILE, txt on stdout
  --all             dailies: the whole shot; otherwise only what lies inside the cut
  --verdict LIST    dailies: only these, with commas: ${verdictStates.slice(0, 5).join(", ")},
                    ${verdictStates.slice(5).join(", ")}
  --department LIST dailies: only these, with commas: ${departments.slice(0, 5).join(", ")},
                    ${departments.slice(5).join(", ")}
  --by LIST         triage: lists of ${levels.join(", ")}; otherwise ${usualLevels.join(",")}
  --order ORDER     triage: ${orders.join(", ")} (an hour); otherwise ${orders[0]}. The lower end of the 95 % interval
                    counts: what was seen once doesn't stand above what was seen forty times
  -q, --quiet       no progress
  -h, --help        this text
  --version         the version

The exit code says how a check went:
  0  checked, nothing flagged
  1  something is flagged
  2  nothing checked: no readable frames, a sheet that is refused, wrong arguments
  3  nothing flagged, but frames could not be read, or a part could not be measured in more than ${share} of the
     frames in which it is visible
of several folders the worst, from 0 over 3 and 1 to 2;
how a proof went:
  0  all that was put in came back within three sigma and 0.02 px of the frame as analysed
  1  some of it did not
  2  nothing checked, as above, or no part that a drift could be put into
and whether notes (dailies) or lists (triage) were written:
  0  written
  2  not written: no report that can be read, wrong arguments, a file that can't be written
  3  written, but some of the files could not be read (they are named)
`;
