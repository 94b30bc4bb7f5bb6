"""Shot hive_030: Quill looks round with a letter in his hand. Nearly everything on him gives way a little; see README.

Made of the pieces of scene "close". Quill is copy A. The story is in scene_close.py, since his head is rendered frame by frame.
"""
import json
import os
import scene_close as scene
from capture import CLOSE_SEED, CLOSE_START, times as capture_times
from parts import CLOSE_PROPS, QUILL_CLOSE, intents
from places import PIECES, SMALLER

NAME, FRAMES, LENS, SCALE, SEED = "hive_030", scene.FRAMES, scene.LENS, 1.0, 3030
SIZE = (1280 // SMALLER, 720 // SMALLER)
QUALITY, FLICKER, TARGET_MB = 89, 0.004, 8
COPIES = {"quill": "A"}
LAST = FRAMES[-1]


def bones(frame):
    if not scene.SIZES["sag"]:
        scene.SIZES.update(json.load(open(os.path.join(PIECES, scene.NAME, "sizes.json"))))
    return scene.bones(frame)


deform = scene.deform


def lamps(_frame):
    return 1.0, 1.0


def times():
    return capture_times(FRAMES, CLOSE_START, CLOSE_SEED, scene.LUNCH_AFTER, scene.LUNCH_MINUTES)


PARTS = {**QUILL_CLOSE, **CLOSE_PROPS}
SAME_PART = {"quill-cheek": "quill-head"}            # the skin is on the head; only its left cheek slips
SKIN = {"quill-head": [("quill-cheek", "quill-head")]}
MOVES = ("quill-head",) + tuple(p for p in PARTS if p in ("quill-cap", "quill-mouth", "quill-hair-left", "quill-hair-right"))
_hold, _turn = (1, scene.SAG_TO), (scene.TURN_FROM, LAST)
INTENTS = {**intents(PARTS, (1, LAST, "holds")),
           "quill-head": [(*_hold, "holds"), (*_turn, "moves")],
           **intents(("quill-cap", "quill-hair-left", "quill-hair-right"), (*_hold, "holds"), (*_turn, "rides")),
           "quill-mouth": [(a, b, "swapped", w) for a, b, w in scene.MOUTHS[:-1]] + [(*_turn, "rides")],
           "quill-letter": [(1, LAST, "rides")]}
BANDS = {"quill-hair-left": 0.3, "quill-hair-right": 0.3}          # hair is asked about only where it has a band


def expected(t):
    on_head = ["quill-cap", "quill-hair-left", "quill-hair-right", "quill-mouth"]
    return [
        {"kind": "sag", "part": "quill-head", "from": t.onset("quill-head"), "px": t.largest(["quill-head", "quill-cap"], scene.SAG_TO),
         "joint": "quill-neck", "pivot": t.place(scene.NECK), "carries": on_head},
        {"kind": "spring-back", "part": "quill-forearm-left", "from": t.onset("quill-forearm-left"),
         "px": t.largest(["quill-forearm-left", "quill-hand-left", "quill-letter"], LAST), "joint": "quill-elbow-left",
         "pivot": t.place(scene.meant(1)["quill-forearm-left"][:3, 3]), "carries": ["quill-hand-left", "quill-letter"]},
        {"kind": "pop", "part": "quill-cap", "from": scene.POP_AT, "px": t.over("quill-cap", scene.POP_AT)},
        {"kind": "seating", "part": "quill-mouth", "from": scene.SEAT_FROM, "px": t.over("quill-mouth", scene.SEAT_FROM)},
        {"kind": "set-shift", "part": "parcel", "from": scene.NUDGE_AT, "px": t.largest(["parcel"], scene.NUDGE_AT)},
        {"kind": "boil", "part": "quill-hair-left", "from": 2, "px": t.jitter("quill-hair-left")},
        {"kind": "boil", "part": "quill-hair-right", "from": 2, "px": t.jitter("quill-hair-right")},
        {"kind": "skin-shift", "part": "quill-head", "from": scene.SKIN_FROM,
         "px": t.slipped("quill-head", "quill-cheek", "quill-head", scene.SKIN_FROM)},
    ]
