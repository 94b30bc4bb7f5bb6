"""Shot hive_010: Oda holds out her left arm with a bee on it and lifts a honey dipper with the right.

Two variants: "hive_010" has a sagging left shoulder and a knocked camera, "hive_010_true" has neither.
All the shot's numbers are here; render.py and develop.py ask this module.
"""
import numpy as np
from places import SMALLER

NAME = "hive_010"
FRAMES = list(range(1, 25))
WIDTH, HEIGHT = 1280 // SMALLER, 720 // SMALLER
FPS = 24
VARIANTS = {"hive_010": dict(sag=True, knock=True, seed=1010), "hive_010_true": dict(sag=False, knock=False, seed=2020)}

# camera: centimetres and degrees
LENS, SENSOR, DISTANCE, PITCH = 85.0, 36.0, 97.5, np.radians(9.0)
AIM = np.array([0.9, 0.0, 14.15])
FSTOP = 11.0
FORWARD = np.array([0, np.cos(PITCH), -np.sin(PITCH)])
UP = np.array([0, np.sin(PITCH), np.cos(PITCH)])
RIGHT = np.array([1.0, 0, 0])
EYE = AIM - DISTANCE * FORWARD
FOCUS = DISTANCE - 1.2                     # just in front of the chest

# the story of the defects
KNOCK_AT, KNOCK = 15, np.array([0.40, 0.30])     # px, right and down; the whole picture
SAG_FROM, SAG_PX = 6, 2.0                        # frame at which the joint is still good; px at the far end of the hand at the last frame

# what is rendered again for each frame, and what moves with it
MOVING = {"right": ("upper-arm-right", "forearm-right", "hand-right"), "left": ("upper-arm-left", "forearm-left", "hand-left")}


def knock(frame, variant):
    return KNOCK if VARIANTS[variant]["knock"] and frame >= KNOCK_AT else np.zeros(2)


def sag_share(frame, variant):
    """Share of the whole sag at a frame: creep that slows as it goes."""
    if not VARIANTS[variant]["sag"] or frame <= SAG_FROM:
        return 0.0
    k = 1.1
    u = (frame - SAG_FROM) / (FRAMES[-1] - SAG_FROM)
    return float((1 - np.exp(-k * u)) / (1 - np.exp(-k)))


# right arm: (upper, forward), (fore, forward), (hand, forward), in degrees; 0 is the picture's right, 90 is up
KEYS = {
    1: ((236, 12), (186, 20), (176, 8)),
    4: ((233, 12), (179, 20), (172, 8)),
    10: ((222, 13), (155, 18), (165, 6)),
    12: ((220.5, 13), (152.5, 18), (164, 6)),
    15: ((220.5, 13), (152.5, 18), (164, 6)),
    17: ((218, 13), (149, 18), (163, 6)),
    22: ((208, 14), (132, 15), (158.5, 4)),
    24: ((206.5, 14), (130, 15), (158, 4)),
}
LEFT = ((-5, 4), (5, 7), (3, 6))
HEAD = (9, -4, 2)


def right_arm(frame):
    from scipy.interpolate import PchipInterpolator
    f = sorted(KEYS)
    v = np.array([[a for pair in KEYS[k] for a in pair] for k in f], float)
    p = PchipInterpolator(f, v)(frame)
    return (p[0], p[1]), (p[2], p[3]), (p[4], p[5])


def pose(frame, variant, sag_radians):
    return {"left": LEFT, "right": right_arm(frame), "head": HEAD, "view": FORWARD,
            "sag-left": sag_radians * sag_share(frame, variant)}


def project(points, shift=(0, 0)):
    """World points (cm) to picture px, in double precision; shift: the knock, px."""
    d = np.asarray(points, float) - EYE
    z = d @ FORWARD
    k = LENS / SENSOR * WIDTH
    return np.stack([WIDTH / 2 + k * (d @ RIGHT) / z + shift[0], HEIGHT / 2 - k * (d @ UP) / z + shift[1]], -1)


# capture times: minutes between frames, and a lunch
START = "2026-03-02T09:40:00"
LUNCH_AFTER, LUNCH_MINUTES = 12, 48
OUTLINE_KEYS = [1, 6, 12, 18, 24]       # frames at which moving parts get an outline in the sheet
