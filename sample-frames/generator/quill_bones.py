"""Quill's armature: twisted wire in every limb, plain numpy, double precision. Needs no Blender.

Quill is the postman from down the lane: thin, 22 cm, all wire but for a wooden ribcage. Bones carry the prefix "quill-".
"Left" is Quill's own left: the right side of the picture. Unit: 1 cm of puppet.
"""
import numpy as np
from puppet_bones import _move, _rot, limb

SHOULDER = {"left": np.array([2.25, -0.1, 13.1]), "right": np.array([-2.25, -0.1, 13.1])}
UPPER, FORE = 4.0, 3.7
HEAD = np.array([0.0, -0.3, 17.3])


def bones(pose):
    """pose: {"left": (upper, fore, hand), "right": (...)} of (angle, forward) in degrees; "head": (yaw, nod, tilt) in degrees."""
    B = {"quill-torso": np.eye(4)}
    for side in ("left", "right"):
        (ua, uf), (fa, ff), (ha, hf) = pose[side]
        up = _move(SHOULDER[side]) @ limb(ua, uf)
        fo = _move((up @ np.array([UPPER, 0, 0, 1]))[:3]) @ limb(fa, ff)
        hand = _move((fo @ np.array([FORE, 0, 0, 1]))[:3]) @ limb(ha, hf)
        if "roll-" + side in pose:
            hand = hand @ _rot((1, 0, 0), np.radians(pose["roll-" + side]))
        B["quill-upper-arm-" + side], B["quill-forearm-" + side], B["quill-hand-" + side] = up, fo, hand
    yaw, nod, tilt = np.radians(pose["head"])
    B["quill-head"] = _move(HEAD) @ _rot((0, 0, 1), yaw) @ _rot((1, 0, 0), nod) @ _rot((0, 1, 0), tilt)
    return B


JOINTS = {  # joint id: (name, part, bone, point in the bone's frame)
    "quill-shoulder-left": ("Left shoulder", "quill-upper-arm-left", "quill-upper-arm-left", (0, 0, 0)),
    "quill-elbow-left": ("Left elbow", "quill-forearm-left", "quill-forearm-left", (0, 0, 0)),
    "quill-wrist-left": ("Left wrist", "quill-hand-left", "quill-hand-left", (0, 0, 0)),
    "quill-shoulder-right": ("Right shoulder", "quill-upper-arm-right", "quill-upper-arm-right", (0, 0, 0)),
    "quill-elbow-right": ("Right elbow", "quill-forearm-right", "quill-forearm-right", (0, 0, 0)),
    "quill-wrist-right": ("Right wrist", "quill-hand-right", "quill-hand-right", (0, 0, 0)),
    "quill-waist": ("Waist", "quill-torso", "quill-torso", (0, 0, 7.6)),
    "quill-neck": ("Neck", "quill-head", "quill-head", (0, 0.3, -2.9)),
}
