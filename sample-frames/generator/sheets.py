"""Writes holdfast-sheet.json and truth.json of each variant from the projected geometry.

    python3 sheets.py
"""
import json
import os
import cv2
import numpy as np
import places
import puppet_bones as puppet
import shot_hive_010 as shot
from places import TARGET

PIECES = os.path.join(places.PIECES, shot.NAME)

# id: name, kind, carrier, build, grams
PARTS = {
    "torso": ("Torso and jacket", "body", None, "ball", 148),
    "apron": ("Apron", "costume", "torso", None, 14),
    "scarf": ("Neckerchief", "costume", "torso", None, 5),
    "head": ("Head", "head", "torso", "ball", 61),
    "hat": ("Straw hat", "costume", "head", None, 12),
    "hair-left": ("Left bun", "hair", "head", None, 6),
    "hair-right": ("Right bun", "hair", "head", None, 6),
    "upper-arm-left": ("Left upper arm", "limb", "torso", "ball", 24),
    "forearm-left": ("Left forearm", "limb", "upper-arm-left", "ball", 18),
    "hand-left": ("Left hand", "hand", "forearm-left", "wire", 11),
    "upper-arm-right": ("Right upper arm", "limb", "torso", "ball", 24),
    "forearm-right": ("Right forearm", "limb", "upper-arm-right", "ball", 18),
    "hand-right": ("Right hand", "hand", "forearm-right", "wire", 10),
    "dipper": ("Honey dipper", "prop", "hand-right", None, 7),
    "jar": ("Honey jar", "prop", None, None, 95),
    "hive-frame": ("Hive frame", "prop", None, None, 38),
    "smoker": ("Smoker", "prop", None, None, 52),
}
NOT_PUPPET = ("dipper", "jar", "hive-frame", "smoker")
MOVES = ("upper-arm-right", "forearm-right", "hand-right", "dipper")


def outline(mask):
    """Largest piece of a mask as a polygon of 15 to 60 points, at most about 1 px inside the silhouette."""
    m = cv2.erode(mask.astype(np.uint8), cv2.getStructuringElement(cv2.MORPH_CROSS, (3, 3)))
    m = cv2.morphologyEx(m, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    n, lab, stats, _ = cv2.connectedComponentsWithStats(m, connectivity=4)
    if n < 2:
        return None
    m = (lab == 1 + int(np.argmax(stats[1:, cv2.CC_STAT_AREA]))).astype(np.uint8)
    cs, tree = cv2.findContours(m, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
    outer = max((c for c, t in zip(cs, tree[0]) if t[3] < 0), key=cv2.contourArea)
    holes = [c for c, t in zip(cs, tree[0]) if t[3] >= 0 and cv2.contourArea(c) > 60]

    def simple(c, most):
        eps = 0.6
        while True:
            p = cv2.approxPolyDP(c, eps, True)
            if len(p) <= most:
                return [[float(a) + 0.5, float(b) + 0.5] for a, b in p[:, 0]]
            eps *= 1.15
    return {"points": simple(outer, 60), "holes": [simple(h, 30) for h in holes]}


def inside(points, holes=()):
    """Even-odd, by pixel centres."""
    def fill(p):
        p = np.asarray(p, float)
        yy, xx = np.mgrid[0:shot.HEIGHT, 0:shot.WIDTH] + 0.5
        x0, y0 = np.floor(p.min(0)).astype(int)
        x1, y1 = np.ceil(p.max(0)).astype(int) + 1
        out = np.zeros((shot.HEIGHT, shot.WIDTH), bool)
        X, Y = xx[y0:y1, x0:x1], yy[y0:y1, x0:x1]
        acc = np.zeros(X.shape, bool)
        for (ax, ay), (bx, by) in zip(p, np.roll(p, -1, axis=0)):
            if ay == by:
                continue
            c = (Y >= min(ay, by)) & (Y < max(ay, by))
            acc ^= c & (X < ax + (Y - ay) * (bx - ax) / (by - ay))
        out[y0:y1, x0:x1] = acc
        return out
    m = fill(points)
    for h in holes:
        m ^= fill(h)
    return m


def pivot(before, after, turn):
    """The place that stays put while the others turn, px; None where it is hardly a turn about a place in the picture."""
    d = after - before
    R = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    most = np.linalg.norm(d, axis=1).max()
    if most < 0.02 or abs(turn) < 1e-6:
        return None
    c = np.linalg.solve(np.eye(2) - R, after.mean(0) - R @ before.mean(0))
    left = after - ((before - c) @ R.T + c)
    return c if np.linalg.norm(left, axis=1).max() < 0.1 * most else None


def r(x, n):
    return round(float(x), n) + 0.0


def main():
    g = np.load(os.path.join(PIECES, "geometry.npz"))
    sag = json.load(open(os.path.join(PIECES, "sag.json")))["sag_radians"]
    ids = {f: g["ids%d" % f] for f in shot.OUTLINE_KEYS}
    bones1, pts1 = g["bones1"], g["points1"]
    B1 = puppet.bones(shot.pose(1, shot.NAME, sag))
    scale = shot.LENS / shot.SENSOR * shot.WIDTH / shot.FOCUS / 10
    outs = {}
    for pid in PARTS:
        keys = shot.OUTLINE_KEYS if pid in MOVES else [1]
        outs[pid] = []
        for f in keys:
            o = outline(ids[f] == pid)
            if o:
                m = inside(o["points"], o["holes"])
                true = ids[f] == pid
                rect = cv2.minAreaRect(np.argwhere(m)[:, ::-1].astype(np.float32))[1]
                print("%-16s frame %2d  %2d points %d holes, %6d px of %6d, %3d px outside, %.0f x %.0f" % (
                    pid, f, len(o["points"]), len(o["holes"]), m.sum(), true.sum(), (m & ~true).sum(), *rect))
                e = {"frame": f, "points": o["points"]}
                if o["holes"]:
                    e["holes"] = o["holes"]
                outs[pid].append(e)
    for variant in shot.VARIANTS:
        folder = os.path.join(TARGET, variant)
        os.makedirs(folder, exist_ok=True)
        parts = []
        for pid, (name, kind, carrier, build, grams) in PARTS.items():
            p = {"id": pid, "name": name, "kind": kind}
            if pid not in NOT_PUPPET:
                p.update(puppet="oda", copy="A")
            if carrier:
                p["carrier"] = carrier
            p["outlines"] = outs[pid]
            js = []
            for jid, (jn, part, bone, at) in puppet.JOINTS.items():
                if part == pid:
                    w = B1[bone] @ np.array([*at, 1.0])
                    x, y = shot.project(w[:3])
                    js.append({"id": jid, "name": jn, "frame": 1, "at": [r(x, 2), r(y, 2)]})
            if js:
                p["joints"] = js
            if build:
                p["build"] = build
            p["massGrams"] = grams
            p["intents"] = [{"from": shot.FRAMES[0], "to": shot.FRAMES[-1], "intent": "moves" if pid in MOVES else "holds"}]
            parts.append(p)
        sheet = {"format": "holdfast-sheet", "version": 1,
                 "shot": {"name": variant, "fps": shot.FPS, "cut": [shot.FRAMES[0], shot.FRAMES[-1]]},
                 "scale": {"pxPerMm": r(scale, 3)}, "down": [0, 1],
                 "camera": [{"from": shot.FRAMES[0], "to": shot.FRAMES[-1], "intent": "holds"}],
                 "parts": parts}
        dump(sheet, os.path.join(folder, "holdfast-sheet.json"))
        truth(variant, folder, outs, bones1, pts1, ids[1], B1, sag)


def truth(variant, folder, outs, bones1, pts1, ids1, B1, sag):
    rows, drift, B = [], {}, {f: puppet.bones(shot.pose(f, variant, sag)) for f in shot.FRAMES}
    for pid in PARTS:
        o = outs[pid][0]
        m = inside(o["points"], o.get("holes", ())) & (ids1 == pid)
        frames = []
        for f in shot.FRAMES:
            d, q0 = [], []
            for b in np.unique(bones1[m]):
                p = pts1[m & (bones1 == b)]
                G = B[f][b] @ np.linalg.inv(B1[b]) if b else np.eye(4)
                a0, a1 = shot.project(p), shot.project(p @ G[:3, :3].T + G[:3, 3])
                d.append(a1 - a0)
                q0.append(a0)
            d, q0 = np.vstack(d), np.vstack(q0)
            c0, c1 = q0 - q0.mean(0), (q0 + d) - (q0 + d).mean(0)
            turn = np.arctan2((c0[:, 0] * c1[:, 1] - c0[:, 1] * c1[:, 0]).sum(), (c0 * c1).sum())
            big = np.linalg.norm(d, axis=1).max()
            drift[pid, f] = big
            e = {"frame": f, "dx": r(d[:, 0].mean(), 5), "dy": r(d[:, 1].mean(), 5), "turn": r(turn, 8), "maxPx": r(big, 5)}
            c = pivot(q0, q0 + d, turn)
            if c is not None:
                e["pivot"] = [r(c[0], 2), r(c[1], 2)]
            frames.append(e)
        rows.append({"id": pid, "frames": frames})
    expected = []
    if shot.VARIANTS[variant]["sag"]:
        chain = ("upper-arm-left", "forearm-left", "hand-left")
        first = min(f for f in shot.FRAMES if max(drift[p, f] for p in chain) > 0.02)
        expected.append({"kind": "sag", "part": "upper-arm-left", "from": first, "px": r(max(drift[p, shot.FRAMES[-1]] for p in chain), 4),
                         "joint": "shoulder-left",
                         "pivot": [r(v, 2) for v in shot.project(B1["upper-arm-left"][:3, 3])],
                         "carries": ["forearm-left", "hand-left"]})
    if shot.VARIANTS[variant]["knock"]:
        expected.append({"kind": "camera-shift", "part": None, "from": shot.KNOCK_AT, "px": r(np.hypot(*shot.KNOCK), 4)})
    cam = [{"frame": f, "dx": float(shot.knock(f, variant)[0]), "dy": float(shot.knock(f, variant)[1]), "turn": 0, "scale": 1} for f in shot.FRAMES]
    dump({"format": "holdfast-truth", "version": 1, "shot": variant, "source": "projected geometry", "camera": cam, "parts": rows, "expected": expected},
         os.path.join(folder, "truth.json"))
    print(variant, "expected:", json.dumps(expected))


def dump(obj, path):
    """JSON with one line per point list and per row, so that it stays readable."""
    import re
    s = json.dumps(obj, indent=1)
    s = re.sub(r"\[\s+(-?[\d.e+-]+),\s+(-?[\d.e+-]+)\s+\]", r"[\1, \2]", s)
    s = re.sub(r"\{\s+(\"frame\"(?:[^{}\[\]]|\[-?[\d.e+-]+, -?[\d.e+-]+\])*?)\s+\}", lambda m: "{" + re.sub(r"\s*\n\s*", " ", m.group(1)) + "}", s)
    s = re.sub(r"\{\s+(\"from\"[^{}\[\]]*?)\s+\}", lambda m: "{" + re.sub(r"\s*\n\s*", " ", m.group(1)) + "}", s)
    s = re.sub(r"\"points\": \[(.*?)\n\s+\](?=,?\s*[\n}])", lambda m: "\"points\": [" + re.sub(r"\s*\n\s*", " ", m.group(1)).strip() + "]", s, flags=re.S)
    json.loads(s)
    open(path, "w").write(s + "\n")


if __name__ == "__main__":
    main()
