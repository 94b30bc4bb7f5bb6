"""What the sheets of hive_020, hive_030 and hive_040 watch: id: (name, kind, carrier, build, grams)."""

ODA = {
    "torso": ("Oda's torso and jacket", "body", None, "ball", 148),
    "apron": ("Oda's apron", "costume", "torso", None, 14),
    "scarf": ("Oda's neckerchief", "costume", "torso", None, 5),
    "head": ("Oda's head", "head", "torso", "ball", 61),
    "hat": ("Oda's straw hat", "costume", "head", None, 12),
    "hair-left": ("Oda's left bun", "hair", "head", None, 6),
    "hair-right": ("Oda's right bun", "hair", "head", None, 6),
    "upper-arm-left": ("Oda's left upper arm", "limb", "torso", "ball", 24),
    "forearm-left": ("Oda's left forearm", "limb", "upper-arm-left", "ball", 18),
    "hand-left": ("Oda's left hand", "hand", "forearm-left", "wire", 11),
    "upper-arm-right": ("Oda's right upper arm", "limb", "torso", "ball", 24),
    "forearm-right": ("Oda's right forearm", "limb", "upper-arm-right", "ball", 18),
    "cuff-right": ("Oda's right cuff", "costume", "forearm-right", None, 2),
    "hand-right": ("Oda's right hand", "hand", "forearm-right", "wire", 10),
    "dipper": ("Honey dipper", "prop", "hand-right", None, 7),
}
_QUILL = {
    "quill-torso": ("Quill's torso and coat", "body", None, "wire", 96),
    "quill-scarf": ("Quill's scarf", "costume", "quill-torso", None, 6),
    "quill-head": ("Quill's head", "head", "quill-torso", "wire", 44),
    "quill-cap": ("Quill's cap", "costume", "quill-head", None, 7),
    "quill-hair-left": ("Quill's hair, left", "hair", "quill-head", None, 3),
    "quill-hair-right": ("Quill's hair, right", "hair", "quill-head", None, 3),
    "quill-upper-arm-left": ("Quill's left upper arm", "limb", "quill-torso", "wire", 13),
    "quill-forearm-left": ("Quill's left forearm", "limb", "quill-upper-arm-left", "wire", 10),
    "quill-hand-left": ("Quill's left hand", "hand", "quill-forearm-left", "wire", 5),
    "quill-upper-arm-right": ("Quill's right upper arm", "limb", "quill-torso", "wire", 13),
    "quill-forearm-right": ("Quill's right forearm", "limb", "quill-upper-arm-right", "wire", 10),
    "quill-hand-right": ("Quill's right hand", "hand", "quill-forearm-right", "wire", 5),
}
QUILL = _QUILL
QUILL_CLOSE = {
    **{k: v for k, v in _QUILL.items() if k != "quill-hand-right"},      # that hand is below the picture
    "quill-mouth": ("Quill's mouth", "face", "quill-head", None, 2),
    "quill-letter": ("Letter", "prop", "quill-hand-left", None, 1),
}
PROPS = {
    "jar": ("Honey jar", "prop", None, None, 70),
    "hive-frame": ("Hive frame", "prop", None, None, 30),
    "parcel": ("Parcel", "prop", None, None, 25),
    "smoker": ("Smoker", "prop", None, None, 52),
}
CLOSE_PROPS = {k: PROPS[k] for k in ("parcel", "smoker")}

NOT_PUPPET = (*PROPS, "dipper", "quill-letter")


def puppet(pid):
    return None if pid in NOT_PUPPET else "quill" if pid.startswith("quill-") else "oda"


def intents(ids, *rows):
    return {p: list(rows) for p in ids}
