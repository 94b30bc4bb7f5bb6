"""Scene "close": nearer to Quill at the same bench, Oda out of the picture. Shot hive_030 is made of its pieces.

Everything that Quill's head does, meant or not, is in the bones and in deform(): the head is rendered in every frame.
"""
import numpy as np
import quill_bones as quill
from capture import share_of_creep
from lens import Lens, apply, turn_about
from places import SMALLER
from puppet_bones import _move, _rot

NAME = "close"
FRAMES = list(range(1, 25))
FINE = 2
LENS = Lens((11.6, 0.0, 14.5), 62.0, 9.0, 1280 // SMALLER, 720 // SMALLER, focus=60.4)
QUILL_AT = _move((11.4, 0, 0))
POSE = {"left": ((-22, 4), (48, 8), (52, 6)), "right": ((-112, 14), (-62, 46), (-30, 20))}
YAW, NOD, TILT = -9.0, 2.0, 0.0
LEAN = np.radians(15.0)                     # of the head over the neck, to the picture's right

# the story
LUNCH_AFTER, LUNCH_MINUTES = 7, 52
SAG_PX, SAG_TO = 0.8, 14                     # neck: px at the farthest point of head and cap, and the last frame of the hold
TURN_FROM, TURN_STEP = 15, 0.4               # degrees a frame
POP_AT, POP = 10, (0.0137, -0.0044, 0.0137)   # cap, cm in the head's frame
SEAT_FROM, SEAT_TO, SEAT = 9, 11, (0.0097, 0.0, -0.0070)      # mouth, cm in the head's frame
MOUTHS = [(1, 4, "mouth-rest"), (5, 8, "mouth-oh"), (9, 11, "mouth-rest"), (12, 14, "mouth-oh"), (15, 24, "mouth-oh")]
SKIN_FROM, SKIN_PX = 20, 1.1            # px at the farthest vertex; 1 px where it is seen
SPRING_FROM, SPRING_PX = 4, 0.6              # elbow: frame at which it is still good, px at the last frame
NUDGE_AT, NUDGE = 13, (0.0150, -0.0140, 0.0)  # parcel, cm
BOIL_TO, BOIL_CM = 14, 0.0054                             # last frame of it; rms of each component of the hair's jitter


def wears(frame):
    return next(w for a, b, w in MOUTHS if a <= frame <= b)


def yaw(frame):
    ease = {15: 0.5}
    return YAW + TURN_STEP * sum(ease.get(f, 1.0) for f in range(TURN_FROM, frame + 1))


def meant(frame):
    """Bones as they are meant to be."""
    B = {"": np.eye(4), "parcel": np.eye(4)}
    for k, m in quill.bones({**POSE, "head": (yaw(frame), NOD, TILT)}).items():
        B[k] = QUILL_AT @ m
    B["quill-head"] = turn_about(NECK, LENS.forward, LEAN) @ B["quill-head"]
    for k in ON_HEAD:
        B[k] = B["quill-head"]
    return B


ON_HEAD = ("quill-cap", "quill-cheek", "quill-mouth", "quill-hair-left", "quill-hair-right")
NECK = apply(QUILL_AT, [quill.HEAD + np.array([0, 0.3, -2.9])])[0]
SIZES = {"sag": 0.0, "spring": 0.0, "skin": 0.0}       # radians; fit() finds them from the meshes


def fit(points):
    """Angles that move the farthest point as far as the story says. points(bone, frame): its vertices, cm."""
    SIZES.update(sag=0.0, spring=0.0, skin=0.0)
    e = 1e-4

    def per_radian(names, frame, turn):
        p = np.vstack([points(b, frame) for b in names])
        d = LENS.project(apply(turn(e), p)) - LENS.project(p)
        return np.linalg.norm(d, axis=1).max() / e, np.sign(d[:, 1].mean())
    k, down = per_radian(("quill-head",) + ON_HEAD, 1, lambda a: turn_about(NECK, LENS.forward, a))
    sag = down * SAG_PX / k
    elbow = meant(1)["quill-forearm-left"][:3, 3]
    k, down = per_radian(("quill-forearm-left", "quill-hand-left"), 1, lambda a: turn_about(elbow, LENS.forward, a))
    spring = -down * SPRING_PX / k
    H = meant(SKIN_FROM)["quill-head"]
    k, down = per_radian(("quill-cheek",), SKIN_FROM, lambda a: H @ _rot((1, 0, 0), a) @ np.linalg.inv(H))
    SIZES.update(sag=float(sag), spring=float(spring), skin=float(down * SKIN_PX / k))


def bones(frame, faults=True):
    B = meant(frame)
    if not faults:
        return B
    G = turn_about(NECK, LENS.forward, SIZES["sag"] * share_of_creep(min(frame, SAG_TO), FRAMES, LUNCH_AFTER, LUNCH_MINUTES, SAG_TO))
    for k in ("quill-head",) + ON_HEAD:
        B[k] = G @ B[k]
    if frame == POP_AT:
        B["quill-cap"] = B["quill-cap"] @ _move(POP)
    if SEAT_FROM <= frame <= SEAT_TO:
        B["quill-mouth"] = B["quill-mouth"] @ _move(SEAT)
    if frame >= SKIN_FROM:
        B["quill-cheek"] = B["quill-cheek"] @ _rot((1, 0, 0), SIZES["skin"])
    elbow = B["quill-forearm-left"][:3, 3]
    G = turn_about(elbow, LENS.forward, SIZES["spring"] * max(0, frame - SPRING_FROM) / (FRAMES[-1] - SPRING_FROM))
    for k in ("quill-forearm-left", "quill-hand-left"):
        B[k] = G @ B[k]
    if frame >= NUDGE_AT:
        B["parcel"] = _move(NUDGE) @ turn_about((2.8, -5.6, 6.0), (0, 0, 1), 0.0006)
    return B


def deform(bone, points, frame):
    """What soft things do in their bone's frame: hair that boils, another jitter in every frame."""
    points = np.asarray(points, float)
    if not bone.startswith("quill-hair") or frame == FRAMES[0] or frame > BOIL_TO:
        return points
    rng = np.random.default_rng(9000 + 10 * frame + bone.endswith("left"))
    k = rng.standard_normal((3, 6, 3))
    k *= rng.uniform(2.6, 4.2, (3, 6, 1)) / np.linalg.norm(k, axis=-1, keepdims=True)
    ph = rng.uniform(0, 2 * np.pi, (3, 6))
    d = np.stack([np.sin(points @ k[c].T + ph[c]).sum(1) / np.sqrt(3) for c in range(3)], -1)
    return points + BOIL_CM * d


HEAD_BONES = ("quill-head",) + ON_HEAD
ANIMATED = ()
LAYERS = {
    "head": (HEAD_BONES, True),
    "forearm": (("quill-forearm-left", "quill-hand-left"), False),
    "parcel": (("parcel",), False),
}
SAME_POSE = ("head", (4, 5))                # all but the mouth
SAMPLES = {"base": (6, 4), "head": (6, 5), "forearm": (8, 5), "parcel": (8, 5)}
SHADE = [1, 14, 16, 18, 20, 22, 24]
OUTLINE_KEYS = [1, 17, 20, 24]
BLOCKER = {}


def props(M):
    import set_honey_shed as stage
    import puppet_quill
    z = stage.BENCH
    stage.board("crate", (5.4, 3.4, 2.6), M["pine"], at=(2.8, -5.4, z + 1.3), along=0, strip=3, u0=6.0, bevel=0.1)
    puppet_quill.parcel(M, (2.8, -5.6, z + 2.6))
    stage.smoker(M, (19.6, -5.0, z))


def build():
    import puppet_quill
    import set_honey_shed as stage
    stage.build(props)
    puppet_quill.build()
    stage.lamps()
