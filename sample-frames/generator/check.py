"""Looks at the finished frames with methods of its own: shift of the background, sag of the hand, noise, seams.

    python3 check.py
Registration here is a plain Gauss-Newton fit of shift (and turn), with gain and offset, on blurred linear pictures.
"""
import json
import os
import cv2
import numpy as np
from scipy.ndimage import gaussian_filter, map_coordinates
import places
import sheets
import shot_hive_010 as shot

TARGET = places.TARGET


def frame(variant, f):
    im = cv2.imread(os.path.join(TARGET, variant, "%s_%04d.jpg" % (variant, f)))
    return im[..., ::-1].astype(np.float64)


def grey(variant, f):
    return gaussian_filter(frame(variant, f) @ [0.2126, 0.7152, 0.0722], 0.8)


def fit(a, b, mask, turn=True):
    """Motion from a to b on the mask: dx, dy and turn about the mask's centre."""
    y, x = np.nonzero(mask)
    cx, cy = x.mean(), y.mean()
    p = np.zeros(3)
    ref = a[y, x]
    for _ in range(25):
        c, s = np.cos(p[2]), np.sin(p[2])
        X = cx + c * (x - cx) - s * (y - cy) + p[0]
        Y = cy + s * (x - cx) + c * (y - cy) + p[1]
        w = map_coordinates(b, [Y, X], order=3, mode="nearest")
        gx = (map_coordinates(b, [Y, X + 0.5], order=3) - map_coordinates(b, [Y, X - 0.5], order=3))
        gy = (map_coordinates(b, [Y + 0.5, X], order=3) - map_coordinates(b, [Y - 0.5, X], order=3))
        J = [gx, gy, -gx * (Y - cy) + gy * (X - cx)][: 3 if turn else 2] + [w, np.ones_like(w)]
        J = np.stack(J, 1)
        q = np.linalg.lstsq(J, ref - w, rcond=None)[0]
        k = 3 if turn else 2
        p[:k] += q[:k]
        if np.abs(q[:k]).max() < 1e-5:
            break
    return p


def mask_of(sheet, pid, shrink=3):
    o = next(p for p in sheet["parts"] if p["id"] == pid)["outlines"][0]
    return cv2.erode(sheets.inside(o["points"], o.get("holes", ())).astype(np.uint8), np.ones((2 * shrink + 1,) * 2)) > 0


def main():
    last = shot.FRAMES[-1]
    for variant in shot.VARIANTS:
        sheet = json.load(open(os.path.join(TARGET, variant, "holdfast-sheet.json")))
        truth = json.load(open(os.path.join(TARGET, variant, "truth.json")))
        t = {p["id"]: {r["frame"]: r for r in p["frames"]} for p in truth["parts"]}
        a = grey(variant, 1)
        back = np.zeros(a.shape, bool)
        k = places.SMALLER
        back[20 // k:230 // k, 560 // k:1260 // k] = True
        back &= ~(sheets.inside(next(p for p in sheet["parts"] if p["id"] == "hat")["outlines"][0]["points"]))
        back[150 // k:300 // k, 440 // k:790 // k] = False
        for f in (2, 14, 15, last):
            p = fit(a, grey(variant, f), back, turn=False)
            c = next(c for c in truth["camera"] if c["frame"] == f)
            print("%s background 1 -> %2d: %+.3f %+.3f   truth %+.3f %+.3f" % (variant, f, *p[:2], c["dx"], c["dy"]))
        cam = np.array([next(c for c in truth["camera"] if c["frame"] == last)[k] for k in ("dx", "dy")])
        for pid in ("torso", "apron", "head", "hat", "hair-left", "hair-right", "scarf", "upper-arm-left", "forearm-left", "hand-left", "jar", "hive-frame", "smoker"):
            m = mask_of(sheet, pid)
            if m.sum() < 150:
                continue
            p = fit(a, grey(variant, last), m)
            q = t[pid][last]
            print("%s %-15s 1 -> %d: %+.3f %+.3f turn %+.5f   truth %+.3f %+.3f %+.5f  (%d px)" % (
                variant, pid, last, p[0] - cam[0], p[1] - cam[1], p[2], q["dx"], q["dy"], q["turn"], m.sum()))
        # noise from consecutive differences where nothing moves
        d = (frame(variant, 12) - frame(variant, 13))
        base = (frame(variant, 12) + frame(variant, 13)) / 2
        flat = np.abs(base[..., 1] - 128) < 25
        d -= np.median(d, (0, 1))
        print("%s noise, green, grey 103..153: sigma %.2f of 255; luma %.2f" % (
            variant, 1.4826 * np.median(np.abs(d[..., 1][flat])) / 1.414, (d @ [0.2126, 0.7152, 0.0722])[flat].std() / 1.414))


if __name__ == "__main__":
    main()
