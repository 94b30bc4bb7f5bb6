"""Oda's armature: bones and joints, plain numpy, double precision. Needs no Blender.

bones(pose) gives the 4 x 4 matrix of each bone. "Left" is Oda's own left: the right side of the picture.
Unit: 1 cm of puppet. x to the picture's right, y away from the lens, z up.
"""
import numpy as np

SHOULDER = {"left": np.array([2.72, -0.1, 12.15]), "right": np.array([-2.72, -0.1, 12.15])}
UPPER, FORE = 4.3, 3.9
HEAD = np.array([0.0, -0.35, 15.95])


# ---------------------------------------------------------------- bones
def _rot(axis, a):
    axis = np.asarray(axis, float) / np.linalg.norm(axis)
    K = np.array([[0, -axis[2], axis[1]], [axis[2], 0, -axis[0]], [-axis[1], axis[0], 0]])
    R = np.eye(4)
    R[:3, :3] = np.eye(3) + np.sin(a) * K + (1 - np.cos(a)) * K @ K
    return R


def _move(v):
    M = np.eye(4)
    M[:3, 3] = v
    return M


def limb(angle_deg, forward_deg=0.0):
    """Turn local x to point at angle_deg in the picture plane (0 right, 90 up), forward_deg towards the lens."""
    return _rot((0, 1, 0), -np.radians(angle_deg)) @ _rot((0, 0, 1), -np.radians(forward_deg))


def bones(pose):
    """pose: {"left": (upper, fore, hand), "right": (...)} of (angle, forward) in degrees;
    "head": (yaw, nod, tilt) in degrees; "sag-left": radians about the shoulder, about "view" (unit vector)."""
    B = {"": np.eye(4), "torso": np.eye(4)}
    for side in ("left", "right"):
        s = SHOULDER[side]
        (ua, uf), (fa, ff), (ha, hf) = pose[side]
        up = _move(s) @ limb(ua, uf)
        sag = pose.get("sag-" + side, 0.0)
        G = _move(s) @ _rot(pose["view"], sag) @ _move(-s) if sag else np.eye(4)
        e = (up @ np.array([UPPER, 0, 0, 1]))[:3]
        fo = _move(e) @ limb(fa, ff)
        w = (fo @ np.array([FORE, 0, 0, 1]))[:3]
        ha_m = _move(w) @ limb(ha, hf)
        if "roll-" + side in pose:
            ha_m = ha_m @ _rot((1, 0, 0), np.radians(pose["roll-" + side]))
        B["upper-arm-" + side], B["forearm-" + side], B["hand-" + side] = G @ up, G @ fo, G @ ha_m
    yaw, nod, tilt = np.radians(pose["head"])
    B["head"] = _move(HEAD) @ _rot((0, 0, 1), yaw) @ _rot((1, 0, 0), nod) @ _rot((0, 1, 0), tilt)
    return B


JOINTS = {  # joint id: (name, part, bone, point in the bone's frame)
    "shoulder-left": ("Left shoulder", "upper-arm-left", "upper-arm-left", (0, 0, 0)),
    "elbow-left": ("Left elbow", "forearm-left", "forearm-left", (0, 0, 0)),
    "wrist-left": ("Left wrist", "hand-left", "hand-left", (0, 0, 0)),
    "shoulder-right": ("Right shoulder", "upper-arm-right", "upper-arm-right", (0, 0, 0)),
    "elbow-right": ("Right elbow", "forearm-right", "forearm-right", (0, 0, 0)),
    "wrist-right": ("Right wrist", "hand-right", "hand-right", (0, 0, 0)),
    "waist": ("Waist", "torso", "torso", (0, 0, 7.4)),
    "neck": ("Neck", "head", "head", (0, 0.3, -2.6)),
}
