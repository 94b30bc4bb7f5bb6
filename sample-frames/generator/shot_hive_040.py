"""Shot hive_040: the action of hive_020 again after the bench tightened Oda's elbow. The arm holds; other things go wrong.

Made of the pieces of scene "bench" at 1920 x 1080. Oda is copy A, Quill copy B.
"""
import numpy as np
import scene_bench as scene
from capture import times as capture_times
from parts import ODA, PROPS, QUILL, intents
from places import SMALLER

NAME, FRAMES, LENS, SCALE, SEED = "hive_040", scene.FRAMES, scene.LENS, 1.5, 4040
SIZE = (1920 // SMALLER, 1080 // SMALLER)
QUALITY, FLICKER, TARGET_MB = 88, 0.0025, 14
COPIES = {"oda": "A", "quill": "B"}
LAST = FRAMES[-1]

LAMP_AT, LAMP = 5, 0.95                    # the key lamp, with the light that comes back from the walls
BLOCKED = scene.BLOCKER                    # frames in which something throws its shadow on Oda's jacket
REPEAT = {14: 13}
FLECK_AT, FLECK_PX = (15, 16), (1046.0 / SMALLER, 404.0 / SMALLER)
SOFT_FROM, FOCUS_TO = 17, scene.LENS.focus - 2.2      # first soft frame; where the focus is at the last one, cm

bones = scene.bones


def lamps(frame):
    return (LAMP, 1.0) if frame == LAMP_AT else (1.0, 1.0)


def focus(frame):
    u = max(0, frame - SOFT_FROM + 1) / (LAST - SOFT_FROM + 1)
    return LENS.focus + (FOCUS_TO - LENS.focus) * u


def fleck(frame, width, height):
    """A wisp of wool on the lens side of the set: its cover 0..1, or None."""
    if frame not in FLECK_AT:
        return None
    y, x = np.mgrid[0:height, 0:width] + 0.5
    out = np.zeros((height, width))
    rng = np.random.default_rng(44)
    t = np.linspace(0, 1, 60)
    for _ in range(5):
        a, b, c = rng.uniform(0, 6.28), rng.uniform(-2.5, 2.5), rng.uniform(5, 9)
        px = FLECK_PX[0] + c * (t - 0.5) * 2 * np.cos(a + b * t)
        py = FLECK_PX[1] + c * (t - 0.5) * 2 * np.sin(a + b * t)
        for u, v in zip(px, py):
            s = np.s_[int(v) - 6:int(v) + 7, int(u) - 6:int(u) + 7]
            out[s] = np.maximum(out[s], np.exp(-(((x[s] - u) ** 2 + (y[s] - v) ** 2) / 1.4 ** 2) ** 1.2))
    return 0.92 * out


def times():
    return capture_times(FRAMES, "2026-03-09T09:35:00", SEED + 7)


MOVES = ("upper-arm-right", "forearm-right", "hand-right", "dipper", "cuff-right")
PARTS = {**ODA, **QUILL, **PROPS}
INTENTS = {**intents(PARTS, (1, LAST, "holds")), **intents(MOVES, (1, LAST, "moves")), "cuff-right": [(1, LAST, "rides")]}
BANDS = {}


def expected(t):
    cover = fleck(FLECK_AT[0], *SIZE) > 0.5
    ys, xs = np.nonzero(cover)
    return [
        {"kind": "light", "part": None, "from": LAMP_AT, "px": None},
        {"kind": "repeat", "part": None, "from": 14, "px": None},
        {"kind": "stray", "part": None, "from": FLECK_AT[0], "px": float(max(np.ptp(xs), np.ptp(ys)) + 1)},
        {"kind": "soft", "part": None, "from": SOFT_FROM, "px": None},
    ]
