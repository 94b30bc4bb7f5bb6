"""Oda, the beekeeper: 23 cm from sole to crown, tweed jacket, linen apron, straw hat, silicone head and hands.

build() makes the meshes, each in the frame of its bone (see puppet_bones.py).
"Left" is Oda's own left: the right side of the picture.
"""
import numpy as np
import hf_build as hb
from hf_build import material, plain, lathe, tube, ball, sheet, fuse, folds
from puppet_bones import SHOULDER, UPPER, FORE, HEAD, JOINTS, bones    # noqa: F401  (used by render.py)

# ---------------------------------------------------------------- materials
def mats():
    return dict(
        tweed=material("tweed", "cardigan", sheen=0.25, bump=0.035, rough=0.9, spec=0.15),
        cuff=material("cuff", "cuff", sheen=0.2, bump=0.035, rough=0.9, spec=0.15),
        linen=material("linen", "linen", bump=0.03, rough=0.92, spec=0.12, bright=0.92),
        scarf=material("scarf", "scarf", bump=0.02, rough=0.85, spec=0.2),
        skin=material("skin", "skin", coords="BOX", bump=0.012, bump_strength=0.6, rough=0.48, spec=0.35),
        lips=material("lips", "rose", coords="BOX", bump=0.01, rough=0.4, spec=0.4),
        hair=material("hair", "hair", px_per_cm=190, bump=0.04, rough=0.7, spec=0.3),
        straw=material("straw", "straw", bump=0.035, rough=0.62, spec=0.35),
        ribbon=material("ribbon", "ribbon", bump=0.015, rough=0.6, spec=0.3),
        veil=material("veil", "veil", bump=0.03, rough=0.95, spec=0.1),
        eye=material("eye", "eye", bump=0, rough=0.12, spec=0.6, px_per_cm=512, coat=0.6),
        wood=material("spoonwood", "pine", px_per_cm=120, bump=0.015, rough=0.55),
        honey=material("honeyglaze", "honey", coords="BOX", bump=0, rough=0.18, spec=0.5, coat=0.7, sss=0.0, bright=1.05),
        bee=material("beefelt", "bee", px_per_cm=260, bump=0.03, rough=0.95, spec=0.05, sheen=0.4),
        felt=material("wing", "feltgrey", coords="BOX", px_per_cm=200, bump=0.02, rough=0.8),
        brass=plain("brass", (0.55, 0.36, 0.12), rough=0.32, metallic=1.0),
        black=plain("black", (0.012, 0.01, 0.009), rough=0.4),
        horn=material("horn", "leather", coords="BOX", px_per_cm=220, bump=0.01, rough=0.35, coat=0.3, bright=1.1),
    )


# ---------------------------------------------------------------- torso and clothes
PROFILE = np.array([(3.8, 3.85, 3.0), (5.5, 3.9, 3.1), (7.0, 3.72, 3.0), (8.6, 3.5, 2.85), (10.2, 3.25, 2.55),
                    (11.4, 3.05, 2.25), (12.3, 2.72, 1.95), (12.95, 2.2, 1.65), (13.4, 1.5, 1.35), (13.6, 0.9, 1.0)])


def body_radii(z):
    from scipy.interpolate import PchipInterpolator
    return PchipInterpolator(PROFILE[:, 0], PROFILE[:, 1])(z), PchipInterpolator(PROFILE[:, 0], PROFILE[:, 2])(z)


def body_surface(ang, z, lift=0.0):
    """Point on the jacket. ang 0 is the front (towards the lens), positive to the picture's right."""
    rx, ry = body_radii(z)
    f = folds(5)
    x, y = np.sin(ang) * rx, -np.cos(ang) * ry
    crease = 0.055 * f(x * 0.9, y * 0.9, z * 1.5) + 0.05 * np.sin(2.1 * z + 2.3 * np.sin(ang) + 1.0) * np.exp(-((z - 8.8) / 1.5) ** 2)
    k = 1 + (lift + crease) / np.hypot(rx, ry) * 1.35
    return np.stack([x * k, y * k, z + 0 * x], -1)


def clothes(M):
    z = np.linspace(3.8, 13.6, 110)
    a = np.linspace(-np.pi, np.pi, 161)[:-1]
    A, Z = np.meshgrid(a, z, indexing="ij")
    sheet("jacket", body_surface(A, Z), np.stack([A * 3.3, Z], -1), M["tweed"], "torso", "torso", wrap_u=True, flip=False)

    def strip(name, amin, amax, zmin, zmax, lift, mat, part, na=40, nz=60, uv=(0, 0), edge=0.09, wave=None, top=None):
        """A piece of cloth laid on the jacket, with a rolled edge."""
        aa, zz = np.linspace(amin, amax, na), np.linspace(zmin, zmax, nz)
        A, Z = np.meshgrid(aa, zz, indexing="ij")
        L = np.full(A.shape, lift)
        L[0] = L[-1] = L[:, 0] = L[:, -1] = -0.05
        if wave is not None:
            L = L + wave(A, Z)
        P = body_surface(A, Z if top is None else Z, L)
        sheet(name, P, np.stack([A * 3.3 + uv[0], Z + uv[1]], -1), mat, part, "torso")

    # button band with five horn buttons
    strip("band", -0.125, 0.125, 8.0, 12.3, 0.07, M["tweed"], "torso", na=14, nz=90, uv=(5.1, 3.3))
    for k in range(4):
        zc = 9.15 + k * 0.98
        p = body_surface(np.array(0.0), np.array(zc), 0.10)
        lathe("button%d" % k, [(0, -0.16), (0.2, -0.15), (0.27, -0.08), (0.27, 0.0), (0, 0.02)], M["horn"], "torso", "torso",
              axis="y", n=24, at=p)
        for dx in (-0.07, 0.07):
            ball("hole", p + np.array([dx, -0.165, 0]), (0.035, 0.02, 0.035), M["black"], "torso", "torso", n=10)
    # breast pocket on her left
    strip("pocket", 0.34, 0.72, 9.5, 10.75, 0.075, M["tweed"], "torso", na=30, nz=30, uv=(2.2, 7.7))
    strip("pockethem", 0.335, 0.725, 10.5, 10.85, 0.12, M["cuff"], "torso", na=30, nz=14, uv=(2.2, 7.7))
    # apron from the waist
    f = folds(8, low=0.3, high=0.9)

    def flare(A, Z):
        down = np.clip((8.4 - Z) / 4, 0, 1)
        return down * (0.30 + 0.30 * np.sin(A * 10 + 0.6 * f(A * 3, 0, Z)) + 0.1 * f(A * 4, 1, Z))
    strip("apron", -1.32, 1.32, 3.9, 8.75, 0.16, M["linen"], "apron", na=120, nz=80, uv=(0, 1.9), wave=flare)
    strip("waistband", -1.45, 1.45, 8.35, 8.95, 0.30, M["linen"], "apron", na=90, nz=20, uv=(3.1, 5.2))
    # neckerchief: a soft roll, a knot and two tails
    n = 90
    a = np.linspace(0, 2 * np.pi, n, endpoint=False)
    g = folds(9, low=0.8, high=2.0)
    b = np.linspace(0, 2 * np.pi, 33)
    Aa, Bb = np.meshgrid(a, b, indexing="ij")
    R = 1.75 + 0.25 * np.cos(Aa) ** 2
    r = 0.62 + 0.10 * g(2 * np.cos(Aa), 2 * np.sin(Aa), Bb) + 0.06 * np.sin(5 * Bb + 3 * Aa)
    front = -np.sin(Aa)
    P = np.stack([(R + r * np.cos(Bb)) * np.cos(Aa), (R * 0.88 + r * np.cos(Bb)) * np.sin(Aa),
                  13.15 + r * 0.85 * np.sin(Bb) - 0.42 * np.clip(front, 0, 1) ** 2], -1)
    sheet("roll", P, np.stack([Aa * 2.0, Bb * 0.65], -1), M["scarf"], "scarf", "torso", wrap_u=True)
    kz, ky = 12.35, -2.35
    ball("knot", (0.05, ky - 0.1, kz), (0.55, 0.42, 0.5), M["scarf"], "scarf", "torso")
    for sx, ln in ((-1, 1.75), (1, 1.5)):
        u, v = np.meshgrid(np.linspace(-1, 1, 22), np.linspace(0, 1, 26), indexing="ij")
        half = 0.2 + 0.72 * v
        X = 0.05 + sx * (0.28 + 0.95 * v) + u * half * 0.8
        Z = kz - 0.1 - v * ln + 0.22 * u * v * sx + 0.05
        Y = ky - 0.28 + 0.14 * np.cos(u * 5 + sx) * v - 0.15 * v * (1 - v) + 0.0 * v
        Y = Y - 0.0 + np.clip(0.10 * v, 0, 1)
        sheet("tail", np.stack([X, Y, Z], -1), np.stack([u * half + 3 * sx + 5, v * ln], -1), M["scarf"], "scarf", "torso", flip=sx > 0)


# ---------------------------------------------------------------- arms
def _sleeve(name, length, r0, r1, M, part, seed, crease_at, mat="tweed", start_cap=True, end_cap=True):
    """A cloth sleeve along local x with rounded ends and creases near the elbow."""
    n, m = 96, 92
    x = np.linspace(-r0 * 0.98, length + r1 * 0.98, n)
    base = np.interp(x, [0, length], [r0, r1])
    cap0 = np.where(x < 0, np.sqrt(np.clip(1 - (x / r0) ** 2, 0.0004, 1)), 1)
    cap1 = np.where(x > length, np.sqrt(np.clip(1 - ((x - length) / r1) ** 2, 0.0004, 1)), 1)
    a = np.linspace(0, 2 * np.pi, m, endpoint=False)
    A, X = np.meshgrid(a, x, indexing="ij")
    f = folds(seed, low=0.5, high=1.4)
    dent = 0.045 * f(X * 1.4, np.cos(A) * 1.4, np.sin(A) * 1.4)
    for c, w, amp in crease_at:
        dent = dent + amp * np.sin((X - c) * 7.5 + 1.1 * np.sin(A + seed) + 0.8 * np.sin(2 * A)) * np.exp(-((X - c) / w) ** 2)
    R = (base * cap0 * cap1)[None] + dent * (cap0 * cap1)[None]
    P = np.stack([X, R * np.cos(A), R * np.sin(A)], -1)
    UV = np.stack([A * r0 + seed * 1.3, X + seed * 2.1], -1)
    return sheet(name, P, UV, M[mat], part, part, wrap_u=True)


def arm(side, M):
    ua, fo = "upper-arm-" + side, "forearm-" + side
    s = 3 if side == "left" else 6
    _sleeve("sleeve-upper-" + side, UPPER, 1.42, 1.22, M, ua, s, [(0.7, 0.7, 0.05), (3.6, 0.8, 0.06)])
    _sleeve("sleeve-fore-" + side, FORE - 0.9, 1.22, 1.10, M, fo, s + 1, [(0.6, 0.8, 0.06), (2.4, 0.5, 0.03)])
    # ribbed cuff
    a = np.linspace(0, 2 * np.pi, 180, endpoint=False)
    prof = np.array([(FORE - 1.2, 1.06), (FORE - 1.08, 1.26), (FORE - 0.9, 1.3), (FORE - 0.4, 1.27), (FORE - 0.18, 1.22), (FORE - 0.08, 1.1),
                     (FORE - 0.15, 0.9), (FORE - 0.5, 0.82)])
    A, K = np.meshgrid(a, np.arange(len(prof)), indexing="ij")
    rib = 0.035 * np.sin(A * 26)
    R = prof[K, 1] + rib
    d = np.r_[0, np.cumsum(np.hypot(*np.diff(prof, axis=0).T))]
    sheet("cuff-" + side, np.stack([prof[K, 0], R * np.cos(A), R * np.sin(A)], -1), np.stack([A * 1.2 + s, d[K] * 1.2], -1), M["cuff"], fo, fo, wrap_u=True)


def open_hand(side, M):
    """Palm to the lens, thumb up, fingers a little spread: the hand that the bee sits on."""
    part = "hand-" + side
    pcs = [ball("p", (0.95, 0, -0.02), (1.05, 0.5, 0.98), M["skin"]), ball("p", (0.55, -0.16, 0.42), (0.7, 0.42, 0.5), M["skin"]),
           tube("w", [(-1.2, 0, 0), (0.0, 0, 0), (0.6, 0, 0)], [0.74, 0.70, 0.72], M["skin"], sides=20)]
    for z0, z1, ln, r in ((0.70, 1.12, 1.42, 0.33), (0.24, 0.42, 1.66, 0.345), (-0.24, -0.32, 1.56, 0.34), (-0.70, -0.98, 1.22, 0.305)):
        pcs.append(tube("f", [(1.25, 0.02, z0 * 0.95), (1.7 + ln * 0.35, -0.05, z0 + (z1 - z0) * 0.5), (1.65 + ln * 0.72, -0.15, z1 * 0.98), (1.65 + ln, -0.34, z1)],
                        [r * 0.98, r, r * 0.97, r * 0.86], M["skin"], sides=18, n=26))
    pcs.append(tube("t", [(0.35, -0.2, 0.45), (0.62, -0.42, 1.0), (0.98, -0.56, 1.42), (1.28, -0.6, 1.72)], [0.42, 0.38, 0.35, 0.28], M["skin"], sides=18, n=22))
    fuse("hand-" + side, pcs, M["skin"], part, part, voxel=0.055, smooth=7)


def bee(M, part, bone, at, yaw=0.5, k=1.0):
    """A needle-felted bee with paper wings."""
    at = np.asarray(at, float)
    c, s = np.cos(yaw), np.sin(yaw)

    def put(v):
        v = np.asarray(v, float) * k
        return at + np.array([c * v[0] - s * v[1], s * v[0] + c * v[1], v[2]])
    n, m = 30, 24
    t, a = np.linspace(0, np.pi, n), np.linspace(0, 2 * np.pi, m, endpoint=False)
    A, T = np.meshgrid(a, t, indexing="ij")
    L = np.stack([-0.78 * np.cos(T) * k, 0.44 * np.sin(T) ** 0.8 * np.cos(A) * k, 0.42 * np.sin(T) ** 0.8 * np.sin(A) * k], -1)
    P = at + np.stack([c * L[..., 0] - s * L[..., 1], s * L[..., 0] + c * L[..., 1], L[..., 2]], -1)
    sheet("beebody", P, np.stack([A * 0.3, T / np.pi * 1.97], -1), M["bee"], part, bone, wrap_u=True)
    ball("beehead", put((-0.78, 0, 0.04)), np.array([0.3, 0.32, 0.3]) * k, M["black"], part, bone, n=20)
    for sy in (-1, 1):
        ball("beeeye", put((-0.92, 0.17 * sy, 0.14)), np.array([0.1, 0.1, 0.11]) * k, M["horn"], part, bone, n=12)
        tube("feeler", [put((-0.95, 0.1 * sy, 0.2)), put((-1.1, 0.18 * sy, 0.45)), put((-1.3, 0.24 * sy, 0.5))], 0.028 * k, M["black"], part, bone, n=8, sides=6)
        u, v = np.meshgrid(np.linspace(0, 1, 14), np.linspace(-1, 1, 9), indexing="ij")
        w = 0.34 * np.sin(np.clip(u, 0.02, 1) * np.pi * 0.93) ** 0.7
        ctr = np.stack([0.0 + 0.75 * u, sy * (0.12 + 0.55 * u), 0.36 + 0.62 * u], -1) + np.stack([v * w, -sy * 0.2 * v * w, 0.25 * v * w], -1)
        sheet("wing", np.stack([at[0] + k * (c * ctr[..., 0] - s * ctr[..., 1]), at[1] + k * (s * ctr[..., 0] + c * ctr[..., 1]), at[2] + k * ctr[..., 2]], -1),
              np.stack([u, v], -1), M["felt"], part, bone)
        for q in (-0.35, 0.0, 0.3):
            tube("leg", [put((q, 0.3 * sy, -0.2)), put((q - 0.05, 0.52 * sy, -0.28)), put((q - 0.08, 0.55 * sy, -0.6))], 0.035 * k, M["black"], part, bone, n=8, sides=6)


def fist(side, M):
    """A fist round a stick that runs along local z through (1.15, -0.42)."""
    part = "hand-" + side
    pcs = [ball("p", (0.85, 0.1, 0), (0.98, 0.62, 1.0), M["skin"]), tube("w", [(-1.2, 0, 0), (0.0, 0, 0), (0.6, 0, 0)], [0.74, 0.70, 0.72], M["skin"], sides=20)]
    for z, r in ((-0.74, 0.30), (-0.26, 0.325), (0.24, 0.33), (0.72, 0.31)):
        pcs.append(tube("f", [(1.2, 0.35, z), (1.85, 0.1, z), (1.98, -0.45, z), (1.5, -0.92, z * 0.97), (0.95, -0.9, z * 0.94), (0.72, -0.6, z * 0.94)],
                        [r, r, r, r * 0.97, r * 0.93, r * 0.85], M["skin"], sides=18, n=30))
    pcs.append(tube("t", [(0.15, -0.3, -0.5), (0.45, -0.75, -0.95), (0.95, -1.02, -1.16), (1.5, -1.02, -1.15)], [0.42, 0.38, 0.35, 0.29], M["skin"], sides=18, n=24))
    fuse("hand-" + side, pcs, M["skin"], part, part, voxel=0.055, smooth=6)


def dipper(side, M, part="dipper"):
    """A turned honey dipper, held in the fist; its head is on the thumb's side (local -z)."""
    bone = "hand-" + side
    at = (1.2, -0.38, 0)
    lathe("stick", [(0, 2.3), (0.2, 2.28), (0.27, 2.1), (0.22, 1.9), (0.2, 0.5), (0.2, -3.3), (0.24, -3.6)], M["wood"], part, bone, n=28, at=at)
    prof = [(0.2, -3.4), (0.42, -3.5)]
    for k in range(6):
        zc = -3.68 - k * 0.32
        R = 0.86 * np.sin(np.pi * (0.30 + 0.52 * k / 5)) + 0.02
        prof += [(R * 0.96, zc + 0.10), (R, zc + 0.04), (R, zc - 0.04), (R * 0.96, zc - 0.10)]
        if k < 5:
            prof += [(0.42, zc - 0.115), (0.42, zc - 0.205)]
    prof += [(0.25, -5.5), (0, -5.55)]
    lathe("dipperhead", prof, M["wood"], part, bone, n=56, at=at)
    f = folds(21)
    lathe("glaze", [(0.50, -3.55), (0.80, -3.8), (0.90, -4.1), (0.93, -4.45), (0.88, -4.8), (0.72, -5.15), (0.45, -5.5), (0.0, -5.7)], M["honey"], part, bone, n=64, at=at,
          wobble=lambda a, t: -0.055 + 0.06 * np.sin(t * 33) * (t < 0.85) + 0.05 * f(2 * np.cos(a), 2 * np.sin(a), 6 * t))


# ---------------------------------------------------------------- head
def head(M):
    P, B = "head", "head"
    pcs = [ball("s", (0, 0, 0.1), (2.72, 2.55, 2.85), M["skin"], n=64), ball("c", (1.22, -1.62, -0.82), (1.12, 1.0, 0.95), M["skin"]),
           ball("c", (-1.22, -1.62, -0.82), (1.12, 1.0, 0.95), M["skin"]), ball("ch", (0, -1.72, -1.95), (1.0, 0.85, 0.78), M["skin"]),
           ball("n", (0, -2.82, -0.3), (0.66, 0.66, 0.58), M["skin"]), ball("nw", (0.42, -2.5, -0.45), (0.36, 0.36, 0.32), M["skin"], n=24), ball("nw", (-0.42, -2.5, -0.45), (0.36, 0.36, 0.32), M["skin"], n=24),
           tube("nb", [(0, -2.3, 0.9), (0, -2.6, 0.3), (0, -2.85, -0.2)], [0.3, 0.36, 0.5], M["skin"], sides=18),
           ball("br", (0.95, -2.12, 0.98), (0.85, 0.42, 0.34), M["skin"]), ball("br", (-0.95, -2.12, 0.98), (0.85, 0.42, 0.34), M["skin"]),
           ball("e", (2.72, 0.0, -0.15), (0.28, 0.5, 0.68), M["skin"], n=28), ball("e", (-2.72, 0.0, -0.15), (0.28, 0.5, 0.68), M["skin"], n=28),
           tube("neck", [(0, 0.3, -4.0), (0, 0.3, -2.0), (0, 0.2, -1.0)], [1.05, 1.0, 1.0], M["skin"], sides=28)]
    skull = fuse("head", pcs, M["skin"], P, B, voxel=0.075, smooth=9)
    tree = hb.bvh(skull)

    def on_face(x, z, lift=0.0):
        hit = tree.ray_cast((x, -10, z), (0, 1, 0))
        p = np.array(hit[0]) if hit[0] is not None else np.array([x, -2, z])
        return p - np.array([0, lift, 0])

    for sx in (-1, 1):
        c = np.array([sx * 0.98, -2.06, 0.36])
        # eye: UV is the plane across the line of sight, so the iris sits where the eye looks
        gaze = np.radians(15), np.radians(-3)
        t, a = np.linspace(0, np.pi, 30), np.linspace(0, 2 * np.pi, 48, endpoint=False)
        A, T = np.meshgrid(a, t, indexing="ij")
        L = 0.52 * np.stack([np.sin(T) * np.cos(A), -np.cos(T), np.sin(T) * np.sin(A)], -1)
        uv = L[..., [0, 2]] + 0.5
        cy, sy_ = np.cos(gaze[0]), np.sin(gaze[0])
        Lr = np.stack([cy * L[..., 0] - sy_ * L[..., 1], sy_ * L[..., 0] + cy * L[..., 1], L[..., 2]], -1)
        cp, sp = np.cos(gaze[1]), np.sin(gaze[1])
        Lr = np.stack([Lr[..., 0], cp * Lr[..., 1] - sp * Lr[..., 2], sp * Lr[..., 1] + cp * Lr[..., 2]], -1)
        o = sheet("eye", c + Lr, uv, M["eye"], P, B, wrap_u=False, flip=False)
        # close the seam
        L2 = np.stack([Lr[-1], Lr[0]])
        sheet("eyeseam", c + L2, np.stack([uv[-1], uv[0]]), M["eye"], P, B)
        # lids: shells of skin a little larger than the eye
        for lo, hi, r in ((14, 105, 0.60), (-100, -27, 0.585)):
            e = np.radians(np.linspace(lo, hi, 16))
            az = np.radians(np.linspace(-86, 86, 30))
            E, Z = np.meshgrid(e, az, indexing="ij")
            rr = r * np.where(np.abs(E - e[0 if lo > 0 else -1]) < 0.12, 1.03, 1.0)
            Q = np.stack([rr * np.sin(Z), -rr * np.cos(Z) * np.cos(E), rr * np.cos(Z) * np.sin(E)], -1)
            sheet("lid", c + Q, np.stack([Z, E], -1), M["skin"], P, B, flip=True)
        # brass spectacles
        a = np.linspace(0, 2 * np.pi, 64, endpoint=False)
        b = np.linspace(0, 2 * np.pi, 13)
        A, Bb = np.meshgrid(a, b, indexing="ij")
        R = 0.93
        rx = 0.065
        Q = np.stack([sx * 1.06 + (R + rx * np.cos(Bb)) * np.cos(A), -3.0 + rx * np.sin(Bb) + 0.16 * np.cos(A) * sx, 0.22 + (R * 0.95 + rx * np.cos(Bb)) * np.sin(A)], -1)
        sheet("rim", Q, np.stack([A, Bb], -1), M["brass"], P, B, wrap_u=True)
        tube("temple", [(sx * 1.99, -2.84, 0.35), (sx * 2.5, -1.9, 0.4), (sx * 2.85, -0.3, 0.3)], 0.06, M["brass"], P, B, sides=8)
        # brows of yarn
        for k in range(3):
            pts = [on_face(sx * x, z + k * 0.09, 0.10) for x, z in ((0.45, 1.2), (0.8, 1.42), (1.25, 1.46), (1.7, 1.22))]
            tube("brow", pts, [0.10, 0.14, 0.14, 0.08], M["hair"], P, B, n=22, sides=10, u0=k * 0.7 + sx)
    tube("bridge", [(-0.2, -3.0, 0.4), (0, -3.12, 0.52), (0.2, -3.0, 0.4)], 0.06, M["brass"], P, B, n=12, sides=8)
    # mouth: a smile, a little higher on her left
    xs = np.linspace(-0.78, 0.78, 9)
    line = [on_face(x, -1.38 + 0.32 * (x / 0.95) ** 2 + 0.05 * x, 0.0) for x in xs]
    tube("mouth", line, [0.03, 0.06, 0.075, 0.06, 0.03], M["black"], P, B, n=40, sides=10)
    low = [on_face(x, -1.53 + 0.30 * (x / 0.8) ** 2 + 0.05 * x, -0.05) for x in np.linspace(-0.72, 0.72, 7)]
    tube("lowerlip", low, [0.06, 0.15, 0.19, 0.15, 0.06], M["lips"], P, B, n=36, sides=14)
    upl = [on_face(x, -1.27 + 0.32 * (x / 0.9) ** 2 - 0.04 * np.cos(x * 6) + 0.05 * x, -0.05) for x in np.linspace(-0.85, 0.85, 9)]
    tube("upperlip", upl, [0.05, 0.10, 0.12, 0.10, 0.05], M["lips"], P, B, n=36, sides=12)
    # hair: yarn from under the hat, swept to a bun on either side
    rng = np.random.default_rng(77)
    for sx in (-1, 1):
        part = "hair-left" if sx > 0 else "hair-right"
        for k in range(15):
            t = k / 14
            x0 = 0.12 + 2.2 * t
            top = np.array([sx * x0 * 0.95, -2.55 + 2.3 * t ** 1.5, 2.05 - 0.25 * t])
            mid = np.array([sx * (1.5 + 1.35 * t), -1.98 + 1.75 * t, 1.55 - 0.35 * t + 0.1 * rng.standard_normal() * 0.3])
            end = np.array([sx * 2.95, -0.65 + 0.9 * t, 0.35 - 0.75 * t])
            pts = []
            for p in smooth_pts([top, mid, end]):
                n = np.array([p[0] / 2.72 ** 2, p[1] / 2.55 ** 2, p[2] / 2.9 ** 2])
                q = np.sqrt((p[0] / 2.80) ** 2 + (p[1] / 2.66) ** 2 + (p[2] / 2.95) ** 2)
                pts.append(p / q * 1.0 if q < 1 else p / q * 1.03)
            tube("strand", pts, [0.17, 0.19, 0.19, 0.15], M["hair"], part, B, n=30, sides=10, u0=rng.uniform(0, 2))
        c = np.array([sx * 3.25, -0.55, -0.75])
        for k in range(9):
            tilt = rng.uniform(-1.2, 1.2)
            R = 1.02 - 0.05 * (k % 3)
            ph = k * np.pi / 9
            pts = []
            for q in np.linspace(0, 2 * np.pi, 15):
                v = np.array([np.cos(q), np.sin(q) * np.sin(ph), np.sin(q) * np.cos(ph)]) * R
                ct, st = np.cos(tilt * 0.4), np.sin(tilt * 0.4)
                v = np.array([ct * v[0] - st * v[2], v[1], st * v[0] + ct * v[2]])
                pts.append(c + v * np.array([0.95, 0.9, 1.05]))
            tube("coil", pts, 0.24, M["hair"], part, B, n=56, sides=10, caps=False, u0=rng.uniform(0, 2))
        ball("buncore", c, (0.95, 0.9, 1.02), M["hair"], part, B)
    hat(M)


def smooth_pts(p):
    return hb.smooth_path(p, 7)


def hat(M):
    """A straw hat, a little pushed back, with a ribbon and the bee veil rolled round the crown."""
    P, B = "hat", "head"
    n, a = 160, np.linspace(0, 2 * np.pi, 160, endpoint=False)
    prof = np.array([(5.0, 0.02), (4.9, -0.1), (4.6, -0.04), (3.9, 0.12), (3.2, 0.3), (2.85, 0.5), (2.75, 1.0), (2.62, 1.7), (2.4, 2.35), (1.9, 2.75), (1.1, 2.92), (0.4, 2.97), (0.0, 2.98)])
    pr = hb.smooth_path(np.c_[prof, np.zeros(len(prof))], 90)[:, :2]
    d = np.r_[0, np.cumsum(np.hypot(*np.diff(pr, axis=0).T))]
    A, K = np.meshgrid(a, np.arange(len(pr)), indexing="ij")
    R, Z = np.clip(pr[K, 0], 0.0, None), pr[K, 1]
    brim = np.clip((R - 2.9) / 2.0, 0, 1)
    f = folds(31)
    Z = Z + brim ** 1.5 * (0.28 * np.cos(2 * A) + 0.12 * np.sin(3 * A + 1)) + 0.03 * f(R * np.cos(A), R * np.sin(A), Z)
    X, Y = R * np.cos(A), R * np.sin(A) * 0.97
    # pushed back: raise the front
    tilt, roll = np.radians(-10), np.radians(4)
    Y2, Z2 = np.cos(tilt) * Y - np.sin(tilt) * Z, np.sin(tilt) * Y + np.cos(tilt) * Z
    X2, Z3 = np.cos(roll) * X - np.sin(roll) * Z2, np.sin(roll) * X + np.cos(roll) * Z2

    def place(x, y, z):
        y2, z2 = np.cos(tilt) * y - np.sin(tilt) * z, np.sin(tilt) * y + np.cos(tilt) * z
        x2, z3 = np.cos(roll) * x - np.sin(roll) * z2, np.sin(roll) * x + np.cos(roll) * z2
        return np.stack([x2, y2 + 0.25, z3 + 1.75], -1)
    sheet("hat", place(X, Y, Z), np.stack([A * 4.6, d[K]], -1), M["straw"], P, B, wrap_u=True)
    # ribbon
    zz = np.linspace(0.55, 1.15, 8)
    A2, K2 = np.meshgrid(a, np.arange(8), indexing="ij")
    Rr = np.interp(zz, pr[pr[:, 0] < 2.95][:, 1], pr[pr[:, 0] < 2.95][:, 0])[K2] + 0.05
    sheet("ribbon", place(Rr * np.cos(A2), Rr * np.sin(A2) * 0.97, zz[K2]), np.stack([A2 * 2.8, zz[K2]], -1), M["ribbon"], P, B, wrap_u=True)
    # rolled veil on the brim
    b = np.linspace(0, 2 * np.pi, 25)
    A3, B3 = np.meshgrid(a, b, indexing="ij")
    g = folds(33, low=0.8, high=2.2)
    r = 0.30 + 0.06 * g(3 * np.cos(A3), 3 * np.sin(A3), B3 * 0.7) + 0.035 * np.sin(22 * A3 + 3 * B3)
    Rv = 3.12 + r * np.cos(B3)
    Zv = 0.52 + 0.16 * np.cos(2 * A3) * 0.4 + r * np.sin(B3)
    sheet("veil", place(Rv * np.cos(A3), Rv * np.sin(A3) * 0.97, Zv), np.stack([A3 * 3.1, B3 * 0.5], -1), M["veil"], P, B, wrap_u=True)


def build():
    """Make Oda. Everything stays at the origin of its bone until the shot poses it."""
    M = mats()
    clothes(M)
    for side in ("left", "right"):
        arm(side, M)
    open_hand("left", M)
    bee(M, "hand-left", "hand-left", (2.35, -0.15, 1.74), yaw=0.25, k=0.92)
    fist("right", M)
    dipper("right", M)
    head(M)
