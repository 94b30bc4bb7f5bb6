"""Looks at finished shots: difference pictures, 16 times, and how far a plain fit finds each part moved, beside the truth.

    python3 look.py SHOT [...]        pictures go beside the pieces
The fit is check.py's: Gauss-Newton on shift and turn with gain and offset; it shares nothing with Holdfast.
"""
import importlib
import json
import os
import sys
import cv2
import numpy as np
from scipy.ndimage import gaussian_filter
import pieces_io as io
from check import fit
from describe import TARGET


def frame(name, f):
    return cv2.imread(os.path.join(TARGET, name, "%s_%04d.jpg" % (name, f))).astype(np.float64)


def polygon(rings, shape, shrink):
    m = np.zeros(shape, np.uint8)
    for k, ring in enumerate(rings):
        cv2.fillPoly(m, [np.round((np.array(ring) - 0.5) * 16).astype(np.int32)], 0 if k else 1, shift=4)
    return cv2.erode(m, np.ones((2 * shrink + 1,) * 2)) > 0


def main(name):
    shot = importlib.import_module("shot_" + name)
    sheet = json.load(open(os.path.join(TARGET, name, "holdfast-sheet.json")))
    truth = json.load(open(os.path.join(TARGET, name, "truth.json")))
    t = {p["id"]: {r["frame"]: r for r in p["frames"]} for p in truth["parts"]}
    last = shot.FRAMES[-1]
    pairs = [(1, 2), (1, last)] + [(e["from"] - 1, e["from"]) for e in truth["expected"] if 2 < e["from"] <= last]
    for a, b in pairs:
        d = (frame(name, b) - frame(name, a)) * 16 + 128
        cv2.imwrite(os.path.join(io.folder(shot.scene), "diff_%s_%02d_%02d.png" % (name, a, b)), np.clip(d, 0, 255))
    grey = {f: gaussian_filter(frame(name, f) @ [0.0722, 0.7152, 0.2126], 0.8) for f in (1, 8, 14, last)}
    for p in sheet["parts"]:
        if p["intents"][0]["intent"] == "moves":
            continue
        o = p["outlines"][0]
        m = polygon([o["points"], *o.get("holes", [])], grey[1].shape, 3)
        for f in (8, 14, last):
            if m.sum() > 150 and (f < last or len(p["intents"]) == 1):
                x, y, turn = fit(grey[1], grey[f], m)
                q = t[p["id"]][f]
                off = np.hypot(x - q["dx"], y - q["dy"])
                print("%s %-24s 1 -> %2d: %+.3f %+.3f turn %+.5f   truth %+.3f %+.3f %+.5f %s" % (
                    name, p["id"], f, x, y, turn, q["dx"], q["dy"], q["turn"], "off by %.2f" % off if off > 0.08 else ""))


if __name__ == "__main__":
    for name in sys.argv[1:]:
        main(name)
