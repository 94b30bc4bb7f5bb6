import { hashPlane } from "../../../src/decode/hash.ts";
import { frameNumber } from "../../../src/units/index.ts";
import { pageOpener } from "../../../workers/page/opener.ts";

// Opens the frame that is given with the page's own opener and tells the hash of its reduced luma.

const input = document.querySelector("input");
input?.addEventListener("change", () => {
  const [file] = input.files ?? [];
  const frame = { frame: frameNumber(1), file: file.name, modified: null, source: file };
  void pageOpener()
    .luma(frame, 640)
    .then((luma) => {
      document.body.dataset.hash = "problem" in luma ? luma.problem : hashPlane(luma);
    });
});
