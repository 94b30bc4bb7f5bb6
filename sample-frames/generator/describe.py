"""Writes holdfast-sheet.json and truth.json of hive_020, hive_030 and hive_040 from the projected geometry.

    python3 describe.py SHOT [...]
"""
import importlib
import json
import os
import cv2
import numpy as np
import pieces_io as io
import puppet_bones as oda
import quill_bones as quill
from lens import apply
from parts import puppet
from places import TARGET
from sheets import dump, inside, outline, pivot, r

JOINTS = {**oda.JOINTS, **quill.JOINTS}
SEEN = 0.02                                  # px: from here on a drift counts as begun


class Truth:
    """How far the material of each part went since frame 1, over the surface that is seen inside its outline there."""

    def __init__(self, shot, outlines):
        self.shot, self.outlines = shot, outlines
        z = np.load(os.path.join(io.folder(shot.scene), "geometry.npz"))
        self.ids, self.bones, self.points = named(shot, z["ids1"]), z["bones1"], z["points1"]
        self.B = {f: shot.bones(f) for f in shot.FRAMES}
        self.cache, self.masks = {}, {}

    def mask(self, pid):
        if pid not in self.masks:
            o = self.outlines[pid][0]
            self.masks[pid] = inside(o["points"], o.get("holes", ())) & (self.ids == pid)
        return self.masks[pid]

    def where(self, pid, frame, carrier=False):
        """Places of the part's seen points, px of the finished picture; carrier: where its carrier alone would have taken them."""
        key = pid, frame, carrier
        if key in self.cache:
            return self.cache[key]
        shot, m = self.shot, self.mask(pid)
        deform = getattr(shot, "deform", lambda _b, p, _f: p)
        after = getattr(shot, "after", lambda _b, p, _f: p)
        out = []
        for b in np.unique(self.bones[m]):
            local = apply(np.linalg.inv(self.B[1][b]), self.points[m & (self.bones == b)])
            if carrier:
                on = carrier_bone(shot, pid)
                p = after(on, apply(self.B[frame][on] @ np.linalg.inv(self.B[1][on]) @ self.B[1][b], local), frame)
            else:
                p = after(b, apply(self.B[frame][b], deform(b, local, frame)), frame)
            out.append(shot.LENS.project(p) * shot.SCALE)
        self.cache[key] = np.vstack(out)
        return self.cache[key]

    def moved(self, pid, frame):
        return self.where(pid, frame) - self.where(pid, 1)

    def left_over(self, pid, frame):
        """What a part did beyond its carrier, px, since frame 1."""
        return self.where(pid, frame) - self.where(pid, frame, carrier=True)

    def largest(self, pids, frame):
        """Since the frame before it, where the shot says that it happened at once; else since frame 1."""
        return max(float(np.linalg.norm(self.moved(p, frame), axis=1).max()) for p in pids)

    def over(self, pid, frame):
        return float(np.linalg.norm(self.left_over(pid, frame), axis=1).max())

    def place(self, point):
        """Where a point of the scene (cm) lies in the finished picture at frame 1, px."""
        return [r(v, 2) for v in self.shot.LENS.project([point])[0] * self.shot.SCALE]

    def skin(self, pid, bone, on, frame):
        """Way of what rides on one bone beyond another bone of the same part, px."""
        m = self.mask(pid) & (self.bones == bone)
        local = apply(np.linalg.inv(self.B[1][bone]), self.points[m])
        a, b = (self.shot.LENS.project(apply(M, local)) for M in (self.B[frame][bone], self.B[frame][on] @ np.linalg.inv(self.B[1][on]) @ self.B[1][bone]))
        return (a - b) * self.shot.SCALE

    def slipped(self, pid, bone, on, frame):
        return float(np.linalg.norm(self.skin(pid, bone, on, frame), axis=1).max())

    def jitter(self, pid):
        """95th percentile of what the surface did about its middle place, what all of it did together in a frame taken out."""
        last = getattr(self.shot.scene, "BOIL_TO", self.shot.FRAMES[-1])
        d = np.stack([self.left_over(pid, f) for f in self.shot.FRAMES if f <= last])
        d = d - d.mean(1, keepdims=True)
        return float(np.percentile(np.linalg.norm(d - d.mean(0), axis=-1), 95))

    def onset(self, pid):
        return min(f for f in self.shot.FRAMES if np.linalg.norm(self.moved(pid, f), axis=1).max() > SEEN)

    def row(self, pid, frame):
        q0, d = self.where(pid, 1), self.moved(pid, frame)
        c0, c1 = q0 - q0.mean(0), (q0 + d) - (q0 + d).mean(0)
        turn = np.arctan2((c0[:, 0] * c1[:, 1] - c0[:, 1] * c1[:, 0]).sum(), (c0 * c1).sum())
        e = {"frame": frame, "dx": r(d[:, 0].mean(), 5), "dy": r(d[:, 1].mean(), 5), "turn": r(turn, 8), "maxPx": r(np.linalg.norm(d, axis=1).max(), 5)}
        c = pivot(q0, q0 + d, turn)
        if c is not None:
            e["pivot"] = [r(c[0], 2), r(c[1], 2)]
        if self.shot.PARTS[pid][2] and self.shot.PARTS[pid][1] in ("costume", "skin", "hair", "face"):
            o = self.left_over(pid, frame)
            e.update(overDx=r(o[:, 0].mean(), 5), overDy=r(o[:, 1].mean(), 5), overPx=r(np.linalg.norm(o, axis=1).max(), 5))
        for bone, on in getattr(self.shot, "SKIN", {}).get(pid, ()):
            o = self.skin(pid, bone, on, frame)
            e.update(overDx=r(o[:, 0].mean(), 5), overDy=r(o[:, 1].mean(), 5), overPx=r(np.linalg.norm(o, axis=1).max(), 5))
        return e


def named(shot, ids):
    """Part ids as the sheet has them: what is modelled apart may be one part to whoever watches."""
    ids = ids.copy()
    for made, told in getattr(shot, "SAME_PART", {}).items():
        ids[ids == made] = told
    return ids


def carrier_bone(shot, pid):
    """The bone that a part would ride on if nothing of its own happened to it."""
    return shot.PARTS[pid][2] if shot.PARTS[pid][2] in shot.bones(1) else "torso"


def outlines_of(shot):
    z = np.load(os.path.join(io.folder(shot.scene), "geometry.npz"))
    outs = {}
    for pid in shot.PARTS:
        outs[pid] = []
        for f in shot.scene.OUTLINE_KEYS if pid in shot.MOVES else [1]:
            ids = named(shot, z["ids1"])
            if f != 1:
                ids = ids.copy()
                x0, y0, x1, y1 = z["rect%d" % f]
                ids[y0:y1, x0:x1] = named(shot, z["ids%d" % f])
            o = outline(ids == pid)
            if not o:
                print("%s has no outline at frame %d" % (pid, f))
                continue
            m = inside(o["points"], o["holes"])
            rect = cv2.minAreaRect(np.argwhere(m)[:, ::-1].astype(np.float32))[1]
            print("%-24s frame %2d  %2d points %d holes, %6d px, %3d px outside, %.0f x %.0f" % (
                pid, f, len(o["points"]), len(o["holes"]), m.sum(), (m & (ids != pid)).sum(), *rect))
            outs[pid].append({"frame": f, **o} if o["holes"] else {"frame": f, "points": o["points"]})
    return outs


def scaled(ring, k):
    return [[r(x * k, 2), r(y * k, 2)] for x, y in ring]


def sheet(shot, outs):
    parts, k, B = [], shot.SCALE, shot.bones(1)
    for pid, (name, kind, carrier, build, grams) in shot.PARTS.items():
        p = {"id": pid, "name": name, "kind": kind}
        if puppet(pid):
            p.update(puppet=puppet(pid), copy=shot.COPIES[puppet(pid)])
        if carrier:
            p["carrier"] = carrier
        p["outlines"] = [{"frame": o["frame"], "points": scaled(o["points"], k), **({"holes": [scaled(h, k) for h in o["holes"]]} if "holes" in o else {})} for o in outs[pid]]
        js = []
        for jid, (jn, part, bone, at) in JOINTS.items():
            if part == pid:
                x, y = shot.LENS.project(apply(B[bone], [at]))[0] * k
                js.append({"id": jid, "name": jn, "frame": 1, "at": [r(x, 2), r(y, 2)]})
        if js:
            p["joints"] = js
        if build:
            p["build"] = build
        p["massGrams"] = grams
        if pid in shot.BANDS:
            p["bandPx"] = shot.BANDS[pid]
        p["intents"] = [{"from": i[0], "to": i[1], "intent": i[2], **({"wears": i[3]} if len(i) > 3 else {})} for i in shot.INTENTS[pid]]
        parts.append(p)
    first, last = shot.FRAMES[0], shot.FRAMES[-1]
    scale = shot.LENS.k / shot.LENS.distance * k / 10
    return {"format": "holdfast-sheet", "version": 1, "shot": {"name": shot.NAME, "fps": 24, "cut": [first, last]},
            "scale": {"pxPerMm": r(scale, 3)}, "down": [0, 1], "camera": [{"from": first, "to": last, "intent": "holds"}], "parts": parts}


def main(name):
    shot = importlib.import_module("shot_" + name)
    outs = outlines_of(shot)
    folder = os.path.join(TARGET, shot.NAME)
    os.makedirs(folder, exist_ok=True)
    dump(sheet(shot, outs), os.path.join(folder, "holdfast-sheet.json"))
    t = Truth(shot, outs)
    rows = [{"id": p, "frames": [t.row(p, f) for f in shot.FRAMES]} for p in shot.PARTS]
    expected = [{k: (r(v, 4) if isinstance(v, float) else v) for k, v in e.items()} for e in shot.expected(t)]
    cam = [{"frame": f, "dx": 0, "dy": 0, "turn": 0, "scale": 1} for f in shot.FRAMES]
    dump({"format": "holdfast-truth", "version": 1, "shot": shot.NAME, "source": "projected geometry", "camera": cam, "parts": rows, "expected": expected},
         os.path.join(folder, "truth.json"))
    for e in expected:
        print(json.dumps(e))


if __name__ == "__main__":
    import sys
    for name in sys.argv[1:]:
        main(name)
