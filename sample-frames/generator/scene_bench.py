"""Scene "bench": Oda on the left, Quill on the right behind the bench. Shots hive_020 and hive_040 are made of its pieces.

Pure numpy but for build(). Pieces are rendered 3840 px wide: 3 x 3 of them make a pixel of hive_020, 2 x 2 one of hive_040.
"""
import numpy as np
import puppet_bones as oda
import quill_bones as quill
from lens import Lens
from places import SMALLER
from puppet_bones import _move

NAME = "bench"
FRAMES = list(range(1, 25))
FINE = 3                                   # rendered px for a px of LENS
LENS = Lens((0.0, 0.0, 14.15), 97.5, 9.0, 1280 // SMALLER, 720 // SMALLER, focus=96.3)
ODA_AT, QUILL_AT = _move((-6.4, 0, 0)), _move((11.4, 0, 0))

# right arm of Oda: (upper, forward), (fore, forward), (hand, forward), degrees; 0 is the picture's right, 90 is up
KEYS = {
    1: ((236, 14), (182, 24), (176, 10)),
    4: ((235.7, 14), (181.3, 24), (175.6, 10)),
    12: ((233.2, 14.2), (176.6, 23.2), (173.6, 9.4)),
    14: ((233.0, 14.2), (176.2, 23.2), (173.4, 9.4)),
    21: ((230.6, 14.6), (171.6, 22.4), (171.4, 8.8)),
    24: ((230.2, 14.6), (170.8, 22.4), (171.0, 8.8)),
}
ODA_LEFT, ODA_HEAD = ((-24, 6), (20, 8), (24, 6)), (14, -3, 3)
QUILL = {"left": ((-62, 10), (-118, 42), (-150, 20)), "right": ((-112, 14), (-62, 46), (-30, 20)), "head": (-22, 4, -5)}


def oda_right(frame):
    from scipy.interpolate import PchipInterpolator
    f = sorted(KEYS)
    v = np.array([[a for pair in KEYS[k] for a in pair] for k in f], float)
    p = PchipInterpolator(f, v)(frame)
    return (p[0], p[1]), (p[2], p[3]), (p[4], p[5])


def bones(frame):
    """All bones as they are meant to be at a frame: nothing but what is animated moves."""
    B = {"": np.eye(4)}
    for k, m in oda.bones({"left": ODA_LEFT, "right": oda_right(frame), "head": ODA_HEAD, "view": LENS.forward}).items():
        if k:
            B[k] = ODA_AT @ m
    B["cuff-right"] = B["forearm-right"]
    for k, m in quill.bones(QUILL).items():
        B[k] = QUILL_AT @ m
    for k in ("quill-cap", "quill-cheek", "quill-mouth", "quill-hair-left", "quill-hair-right"):
        B[k] = B["quill-head"]
    B["parcel"] = np.eye(4)
    return B


WEARS = "mouth-rest"
ANIMATED = ("upper-arm-right", "forearm-right", "hand-right", "cuff-right")
# name: bones, and whether it is animated; back to front
LAYERS = {
    "quill": (tuple(k for k in bones(1) if k.startswith("quill-")), False),
    "head": (("head",), False),
    "forearm": (("forearm-left", "hand-left"), False),
    "arm": (("upper-arm-right", "forearm-right", "hand-right"), True),
    "cuff": (("cuff-right",), True),
}
# frames in which the arm is rendered: no other is more than one frame away from one of these
RENDERED = [1, 4, 7, 10, 13, 16, 19, 22, 24]
SAMPLES = {"base": (5, 3), "quill": (6, 4), "head": (6, 4), "forearm": (6, 4), "arm": (3, 2), "cuff": (4, 3)}
SHADE = [1, 7, 13, 19, 24]
# frames at which moving parts get an outline in the sheet
OUTLINE_KEYS = [1, 6, 12, 18, 24]

# what sweeps a shadow over Oda's jacket in hive_040: a disc between key lamp and jacket, hidden from the lens
BLOCKER = {8: -9.5, 9: -6.5, 10: -3.5, 11: -0.5, 12: 2.5}


def bench_props(M):
    import set_honey_shed as stage
    import puppet_quill
    z = stage.BENCH
    stage.jar(M, "jar", (-19.0, -5.6, z), 1.4, 3.5, "label1", "gingham", part="jar", turn=0.16, seed=1)
    stage.hive_frame(M, (-0.4, -5.2, z), w=6.4, h=3.0)
    puppet_quill.parcel(M, (6.3, -5.6, z))
    stage.smoker(M, (17.9, -5.0, z))
    stage.board("scraper", (4.6, 0.75, 0.14), M["tin"], at=(-9.6, -6.9, z + 0.10), turn=(0, 0, 0.22), along=0)
    stage.board("scrapergrip", (1.9, 0.85, 0.3), M["leather"], at=(-11.2, -7.25, z + 0.16), turn=(0, 0, 0.22), along=0)


def gauntlet():
    """A long ribbed cuff against stings, instead of the short one of Oda's right sleeve."""
    import bpy
    import hf_build as hb
    import puppet_oda
    from puppet_bones import FORE
    for o in [o for o in bpy.data.objects if o.name.startswith("cuff-right")]:
        bpy.data.objects.remove(o)
    a = np.linspace(0, 2 * np.pi, 180, endpoint=False)
    prof = np.array([(FORE - 2.55, 1.06), (FORE - 2.45, 1.34), (FORE - 2.3, 1.4), (FORE - 1.7, 1.38), (FORE - 1.1, 1.33), (FORE - 0.5, 1.27), (FORE - 0.18, 1.22),
                     (FORE - 0.08, 1.1), (FORE - 0.15, 0.9), (FORE - 0.5, 0.82)])
    prof = np.vstack([prof[:1], hb.smooth_path(np.c_[prof[1:7], np.zeros(6)], 40)[:, :2], prof[7:]])
    A, K = np.meshgrid(a, np.arange(len(prof)), indexing="ij")
    f = hb.folds(61, low=0.5, high=1.3)
    R = prof[K, 1] + 0.03 * np.sin(A * 26) + 0.035 * f(prof[K, 0], np.cos(A), np.sin(A))
    d = np.r_[0, np.cumsum(np.hypot(*np.diff(prof, axis=0).T))]
    hb.sheet("gauntlet", np.stack([prof[K, 0], R * np.cos(A), R * np.sin(A)], -1), np.stack([A * 1.3 + 6, d[K] * 1.1], -1), puppet_oda.mats()["cuff"], "cuff-right", "cuff-right", wrap_u=True)


def build():
    import puppet_oda
    import puppet_quill
    import set_honey_shed as stage
    stage.build(bench_props)
    puppet_oda.build()
    puppet_quill.build(holds_letter=False)
    stage.lamps()
    gauntlet()
