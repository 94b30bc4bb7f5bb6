"""Shot hive_020: Oda tells Quill about the bees. Her left arm gives way at the elbow; see README for all that happens.

Made of the pieces of scene "bench". Oda is copy A, Quill copy B.
"""
import numpy as np
import scene_bench as scene
from capture import times as capture_times
from lens import apply, smoothstep, turn_about
from parts import ODA, PROPS, QUILL, intents
from places import SMALLER
from puppet_bones import _move

NAME, FRAMES, LENS, SCALE, SEED = "hive_020", scene.FRAMES, scene.LENS, 1.0, 2020
SIZE = (1280 // SMALLER, 720 // SMALLER)
QUALITY, FLICKER, TARGET_MB = 89, 0.005, 8
COPIES = {"oda": "A", "quill": "B"}
LAST = FRAMES[-1]

SAG_FROM, SAG_PX = 5, 2.4                 # frame at which the elbow is still good; px at the farthest point of the hand, at the last frame
KNOCK_AT, KNOCK_PX = 15, 0.7              # head, px at the brim's edge
CRAWL_AT, CRAWL_PX = 13, 2.6               # cuff, px up the sleeve, at once
BREATH_PX = 0.55


def _radians(names, point, px):
    """Angle about the line of sight through a point that moves the farthest of some layer's points by px."""
    from pieces_io import layer_points
    p = np.vstack([layer_points(scene, n)[1] for n in names])
    e = 1e-4
    d = LENS.project(apply(turn_about(point, LENS.forward, e), p)) - LENS.project(p)
    return float(np.sign(d[:, 1].mean()) * px * e / np.linalg.norm(d, axis=1).max())


_sizes = {}


def sizes():
    if not _sizes:
        B = scene.bones(1)
        _sizes["elbow"] = B["forearm-left"][:3, 3]
        _sizes["neck"] = apply(B["head"], [(0, 0.3, -2.6)])[0]
        _sizes["sag"] = _radians(["forearm"], _sizes["elbow"], SAG_PX)
        _sizes["knock"] = -_radians(["head"], _sizes["neck"], KNOCK_PX)
    return _sizes


def sag_share(frame):
    if frame <= SAG_FROM:
        return 0.0
    k, u = 1.3, (frame - SAG_FROM) / (LAST - SAG_FROM)
    return float((1 - np.exp(-k * u)) / (1 - np.exp(-k)))


def crawl(frame):
    """cm along the forearm, towards the elbow."""
    return -CRAWL_PX / (LENS.k / LENS.distance) * (frame >= CRAWL_AT)


def bones(frame):
    B, s = scene.bones(frame), sizes()
    G = turn_about(s["elbow"], LENS.forward, s["sag"] * sag_share(frame))
    for k in ("forearm-left", "hand-left"):
        B[k] = G @ B[k]
    if frame >= KNOCK_AT:
        B["head"] = turn_about(s["neck"], LENS.forward, s["knock"]) @ B["head"]
    B["cuff-right"] = B["cuff-right"] @ _move((crawl(frame), 0, 0))
    return B


def after(bone, points, frame):
    """Quill breathes: chest, head and arms rise and fall above the bench, never quite the same twice."""
    if not bone.startswith("quill-"):
        return points
    rng = np.random.default_rng(77)
    swing = np.sin(2 * np.pi * (frame - 1) / 8.3) + 0.25 * (1 - np.cos(2 * np.pi * (frame - 1) / 5.1)) + 0.12 * rng.standard_normal(40)[frame] * (frame > 1)
    up = BREATH_PX / (LENS.k / LENS.distance) * swing
    return points + np.array([0, 0, 1.0]) * (up * smoothstep((points[:, 2] - 10.2) / 3.4))[:, None]


def lamps(_frame):
    return 1.0, 1.0


def times():
    return capture_times(FRAMES, "2026-03-02T14:10:00", SEED + 7, 15, 26)


MOVES = ("upper-arm-right", "forearm-right", "hand-right", "dipper", "cuff-right")
PARTS = {**ODA, **QUILL, **PROPS}
INTENTS = {**intents(PARTS, (1, LAST, "holds")), **intents(MOVES, (1, LAST, "moves")), "cuff-right": [(1, LAST, "rides")],
           **intents([p for p in QUILL if "forearm" not in p and "hand" not in p], (1, LAST, "alive"))}
BANDS = {}


def expected(t):
    """t.row(part, frame), t.over(part, frame): the truth as far as it is written."""
    return [
        {"kind": "sag", "part": "forearm-left", "from": t.onset("forearm-left"), "px": t.largest(["forearm-left", "hand-left"], LAST),
         "joint": "elbow-left", "pivot": t.place(sizes()["elbow"]), "carries": ["hand-left"]},
        {"kind": "crawl", "part": "cuff-right", "from": CRAWL_AT, "px": t.over("cuff-right", CRAWL_AT)},
        {"kind": "knock", "part": "head", "from": KNOCK_AT, "px": t.largest(["head", "hat", "hair-left", "hair-right"], KNOCK_AT),
         "joint": "neck", "pivot": t.place(sizes()["neck"]), "carries": ["hat", "hair-left", "hair-right"]},
    ]
