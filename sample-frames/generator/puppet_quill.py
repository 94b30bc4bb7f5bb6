"""Quill, the postman: 22 cm, wire armature, herringbone coat, knitted cap, silicone face with replacement mouths.

build() makes the meshes, each in the frame of its bone (see quill_bones.py). "Left" is Quill's own left.
"""
import numpy as np
import hf_build as hb
from hf_build import material, plain, tube, ball, sheet, fuse, folds, board
from puppet_oda import _sleeve
from quill_bones import UPPER, FORE

MOUTHS = ("mouth-rest", "mouth-oh")


def mats():
    return dict(
        coat=material("quillcoat", "herringbone", sheen=0.25, bump=0.035, rough=0.9, spec=0.15),
        knit=material("quillknit", "knit", bump=0.045, rough=0.95, spec=0.1, sheen=0.3),
        shirt=material("quillshirt", "shirting", bump=0.02, rough=0.9, spec=0.12),
        strap=material("quillstrap", "leather", coords="BOX", px_per_cm=120, bump=0.012, rough=0.5, spec=0.35, bright=1.25),
        skin=material("quillskin", "skinruddy", coords="BOX", bump=0.012, bump_strength=0.6, rough=0.5, spec=0.33),
        lips=material("quilllips", "rose", coords="BOX", px_per_cm=160, bump=0.01, rough=0.4, spec=0.4),
        hair=material("quillhair", "gingeryarn", px_per_cm=190, bump=0.04, rough=0.75, spec=0.25),
        eye=material("eye", "eye", bump=0, rough=0.12, spec=0.6, px_per_cm=512, coat=0.6),
        paper=material("quillletter", "postlabel", px_per_cm=230, bump=0.005, rough=0.85, spec=0.15),
        black=plain("black", (0.012, 0.01, 0.009), rough=0.4),
        brass=plain("brass", (0.55, 0.36, 0.12), rough=0.32, metallic=1.0),
    )


# ---------------------------------------------------------------- torso and clothes
PROFILE = np.array([(3.6, 2.75, 2.1), (6.0, 2.7, 2.1), (8.0, 2.55, 2.0), (10.0, 2.6, 2.05), (11.6, 2.7, 2.0), (12.8, 2.45, 1.75),
                    (13.7, 1.85, 1.45), (14.3, 1.15, 1.1), (14.6, 0.8, 0.85)])


def surface(ang, z, lift=0.0):
    """Point on the coat; ang 0 is the front (towards the lens), positive to the picture's right."""
    from scipy.interpolate import PchipInterpolator
    rx, ry = PchipInterpolator(PROFILE[:, 0], PROFILE[:, 1])(z), PchipInterpolator(PROFILE[:, 0], PROFILE[:, 2])(z)
    f = folds(205)
    x, y = np.sin(ang) * rx, -np.cos(ang) * ry
    crease = 0.05 * f(x, y, z * 1.3) + 0.035 * np.sin(2.3 * z + 2.0 * np.sin(ang)) * np.exp(-((z - 8.4) / 1.5) ** 2)
    k = 1 + (lift + crease) / np.hypot(rx, ry) * 1.35
    return np.stack([x * k, y * k, z + 0 * x], -1)


def clothes(M):
    P = B = "quill-torso"
    A, Z = np.meshgrid(np.linspace(-np.pi, np.pi, 141)[:-1], np.linspace(3.6, 14.6, 110), indexing="ij")
    sheet("quillcoat", surface(A, Z), np.stack([A * 2.6, Z], -1), M["coat"], P, B, wrap_u=True)

    def strip(name, amin, amax, z0, z1, lift, mat, part, na=30, nz=50, uv=(0, 0), shear=0.0):
        aa, zz = np.linspace(amin, amax, na), np.linspace(0, 1, nz)
        A, T = np.meshgrid(aa, zz, indexing="ij")
        Z = z0 + (z1 - z0) * T
        L = np.full(A.shape, lift)
        L[0] = L[-1] = L[:, 0] = L[:, -1] = -0.05
        sheet(name, surface(A + shear * T, Z, L), np.stack([A * 2.6 + uv[0], Z + uv[1]], -1), mat, part, B)
    strip("quillband", -0.13, 0.13, 5.0, 12.2, 0.07, M["coat"], P, na=14, nz=80, uv=(4.4, 2.7))
    for k in range(4):
        p = surface(np.array(0.02), np.array(6.6 + 1.35 * k), 0.1)
        ball("quillbutton", p + np.array([0, -0.06, 0]), (0.2, 0.1, 0.2), M["brass"], P, B, n=20)
    for sx in (-1, 1):
        strip("lapel", sx * 0.16, sx * 0.62, 11.0, 13.3, 0.1, M["coat"], P, na=20, nz=34, uv=(1.7 * sx + 5, 6.1), shear=sx * 0.12)
    # mailbag strap over the right shoulder, and the bag's flap at the left hip
    strip("strap", -0.62, -0.36, 6.0, 13.4, 0.12, M["strap"], "quill-strap", na=12, nz=90, shear=-0.05)
    # a knitted scarf: a soft roll and two ends
    a, b = np.linspace(0, 2 * np.pi, 80, endpoint=False), np.linspace(0, 2 * np.pi, 29)
    Aa, Bb = np.meshgrid(a, b, indexing="ij")
    g = folds(209, low=0.8, high=2.0)
    R, r = 1.32, 0.52 + 0.07 * g(2 * np.cos(Aa), 2 * np.sin(Aa), Bb)
    P3 = np.stack([(R + r * np.cos(Bb)) * np.cos(Aa), (R * 0.92 + r * np.cos(Bb)) * np.sin(Aa), 14.0 + r * 0.9 * np.sin(Bb) - 0.25 * np.clip(-np.sin(Aa), 0, 1) ** 2], -1)
    sheet("quillroll", P3, np.stack([Aa * 1.6, Bb * 0.55], -1), M["knit"], "quill-scarf", B, wrap_u=True)
    for sx, ln, x0 in ((1, 3.6, 0.55),):
        u, v = np.meshgrid(np.linspace(-1, 1, 20), np.linspace(0, 1, 44), indexing="ij")
        Zt = 13.7 - ln * v
        X = x0 + 0.12 * np.sin(v * 3) + u * 0.62
        front = surface(np.arcsin(np.clip(X / 2.9, -0.95, 0.95)), Zt, 0.2)[..., 1]
        Y = np.minimum(front, -1.75 + 0.0 * v) - 0.1 - 0.1 * np.cos(u * 1.4)
        sheet("quillend", np.stack([X, Y, Zt], -1), np.stack([u * 0.62 + 7, v * ln], -1), M["knit"], "quill-scarf", B, flip=True)


def arm(side, M):
    ua, fo = "quill-upper-arm-" + side, "quill-forearm-" + side
    s = 13 if side == "left" else 16
    _sleeve("quillsleeve-u-" + side, UPPER, 1.12, 0.9, M, ua, s, [(0.6, 0.6, 0.04), (3.4, 0.7, 0.05)], mat="coat")
    _sleeve("quillsleeve-f-" + side, FORE - 0.7, 0.9, 0.84, M, fo, s + 1, [(0.5, 0.7, 0.05), (2.2, 0.5, 0.03)], mat="coat")
    # shirt cuff that looks out of the sleeve
    a = np.linspace(0, 2 * np.pi, 60, endpoint=False)
    prof = np.array([(FORE - 1.3, 0.72), (FORE - 0.5, 0.78), (FORE - 0.1, 0.76), (FORE - 0.04, 0.7), (FORE - 0.2, 0.55)])
    A, K = np.meshgrid(a, np.arange(len(prof)), indexing="ij")
    d = np.r_[0, np.cumsum(np.hypot(*np.diff(prof, axis=0).T))]
    sheet("quillcuff-" + side, np.stack([prof[K, 0], prof[K, 1] * np.cos(A), prof[K, 1] * np.sin(A)], -1), np.stack([A * 0.75, d[K]], -1), M["shirt"], fo, fo, wrap_u=True)


def hand(side, M, grip):
    """A thin hand. grip: fingers bent round the edge of a letter; else laid flat."""
    part = "quill-hand-" + side
    pcs = [ball("p", (0.8, 0, 0), (0.88, 0.36, 0.72), M["skin"]), tube("w", [(-0.9, 0, 0), (0.0, 0, 0), (0.5, 0, 0)], [0.52, 0.5, 0.52], M["skin"], sides=18)]
    bend = 0.55 if grip else 0.1
    for z0, z1, ln, r in ((0.52, 0.72, 1.3, 0.235), (0.18, 0.26, 1.5, 0.245), (-0.17, -0.22, 1.42, 0.24), (-0.5, -0.68, 1.1, 0.215)):
        pcs.append(tube("f", [(1.0, 0.02, z0), (1.35 + ln * 0.3, -0.05, z0 + (z1 - z0) * 0.5), (1.3 + ln * 0.75, -0.1 - bend * 0.4, z1), (1.25 + ln * 0.98, -0.2 - bend, z1)],
                        [r, r, r * 0.97, r * 0.86], M["skin"], sides=16, n=24))
    pcs.append(tube("t", [(0.25, -0.12, 0.35), (0.5, -0.32, 0.85), (0.9, -0.5, 1.12), (1.25, -0.62, 1.2)], [0.31, 0.28, 0.26, 0.21], M["skin"], sides=16, n=20))
    fuse("quillhand-" + side, pcs, M["skin"], part, part, voxel=0.05, smooth=6)


def letter(M, bone):
    """A stiff envelope between thumb and fingers."""
    u, v = np.meshgrid(np.linspace(-0.5, 0.5, 30), np.linspace(-0.5, 0.5, 20), indexing="ij")
    w, h, t = 3.04, 1.83, np.radians(25)
    X, Z = u * w, v * h
    Y = 0.10 * np.cos(3.0 * u)
    c, s = np.cos(t), np.sin(t)
    P = np.stack([1.9 + c * X - s * Z, -0.62 + Y * 0.6, 0.95 + s * X + c * Z], -1)
    sheet("quillletter", P, np.stack([(u + 0.5) * w, (v + 0.5) * h], -1), M["paper"], "quill-letter", bone, flip=False)


# ---------------------------------------------------------------- head
def eyes(M, P, B, centres, r, gaze):
    for sx, c in centres:
        t, a = np.linspace(0, np.pi, 30), np.linspace(0, 2 * np.pi, 49)
        A, T = np.meshgrid(a, t, indexing="ij")
        L = r * np.stack([np.sin(T) * np.cos(A), -np.cos(T), np.sin(T) * np.sin(A)], -1)
        uv = L[..., [0, 2]] * (0.5 / r) + 0.5
        uv = (uv - 0.5) * 1.0 + 0.5
        cy, sy = np.cos(gaze), np.sin(gaze)
        Lr = np.stack([cy * L[..., 0] - sy * L[..., 1], sy * L[..., 0] + cy * L[..., 1], L[..., 2]], -1)
        sheet("quilleye", c + Lr, uv, M["eye"], P, B)
        for lo, hi, k in ((16, 105, 1.14), (-100, -24, 1.12)):
            e, az = np.radians(np.linspace(lo, hi, 16)), np.radians(np.linspace(-86, 86, 30))
            E, Z = np.meshgrid(e, az, indexing="ij")
            rr = r * k * np.where(np.abs(E - e[0 if lo > 0 else -1]) < 0.12, 1.03, 1.0)
            Q = np.stack([rr * np.sin(Z), -rr * np.cos(Z) * np.cos(E), rr * np.cos(Z) * np.sin(E)], -1)
            sheet("quilllid", c + Q, np.stack([Z, E], -1), M["skin"], P, B, flip=True)


def head(M):
    P = B = "quill-head"
    pcs = [ball("s", (0, 0, 0.25), (2.05, 2.05, 2.55), M["skin"], n=64), ball("j", (0, -0.75, -1.35), (1.45, 1.25, 1.2), M["skin"]),
           ball("c", (1.05, -1.22, -0.55), (0.92, 0.8, 0.95), M["skin"]), ball("c", (-1.05, -1.22, -0.55), (0.92, 0.8, 0.95), M["skin"]),
           ball("ch", (0, -1.55, -2.1), (0.75, 0.62, 0.6), M["skin"]),
           tube("nb", [(0, -1.75, 0.95), (0, -2.2, 0.35), (0, -2.75, -0.2), (0, -2.85, -0.42)], [0.26, 0.34, 0.44, 0.4], M["skin"], sides=20),
           ball("nw", (0.3, -2.3, -0.38), (0.28, 0.3, 0.26), M["skin"], n=24), ball("nw", (-0.3, -2.3, -0.38), (0.28, 0.3, 0.26), M["skin"], n=24),
           ball("br", (0.8, -1.72, 0.98), (0.72, 0.36, 0.28), M["skin"]), ball("br", (-0.8, -1.72, 0.98), (0.72, 0.36, 0.28), M["skin"]),
           ball("e", (2.15, 0.1, 0.0), (0.24, 0.55, 0.78), M["skin"], n=28), ball("e", (-2.15, 0.1, 0.0), (0.24, 0.55, 0.78), M["skin"], n=28),
           tube("neck", [(0, 0.3, -4.2), (0, 0.3, -2.4), (0, 0.2, -1.0)], [0.78, 0.74, 0.8], M["skin"], sides=28)]
    skull = fuse("quillhead", pcs, M["skin"], P, B, voxel=0.065, smooth=8)
    tree = hb.bvh(skull)

    def on_face(x, z, lift=0.0):
        hit = tree.ray_cast((float(x), -10, float(z)), (0, 1, 0))
        p = np.array(hit[0]) if hit[0] is not None else np.array([x, -1.5, z])
        n = np.array(hit[1]) if hit[0] is not None else np.array([0, -1.0, 0])
        return p + n * lift

    def patch(name, cx, cz, rx, rz, lift, mat, part, bone, n=40, power=2.6):
        """A skin laid on the face, its border sunk into it."""
        P3 = np.zeros((n, n, 3))
        g = np.linspace(-1, 1, n)
        for i, u in enumerate(g):
            for k, v in enumerate(g):
                # square to disc
                x, z = u * np.sqrt(1 - v * v / 2), v * np.sqrt(1 - u * u / 2)
                q = np.hypot(x, z)
                P3[i, k] = on_face(cx + rx * x, cz + rz * z, lift * (1 - 2.2 * q ** (power * 3)))
        return sheet(name, P3, np.stack(np.meshgrid(g, g, indexing="ij"), -1), mat, part, bone)

    eyes(M, P, B, [(sx, np.array([sx * 0.82, -1.62, 0.42])) for sx in (-1, 1)], 0.46, np.radians(8))
    for sx in (-1, 1):
        for k in range(3):
            pts = [on_face(sx * x, z + k * 0.09, 0.08) for x, z in ((0.35, 1.2), (0.7, 1.45), (1.1, 1.5), (1.5, 1.25))]
            tube("quillbrow", pts, [0.09, 0.13, 0.13, 0.08], M["hair"], P, B, n=22, sides=10, u0=k * 0.7 + sx)
    # the left cheek: a silicone skin of its own over the core
    patch("quillcheek", 0.98, -0.78, 0.68, 0.74, 0.035, M["skin"], "quill-cheek", "quill-cheek", n=46)
    # replacement mouths: a plate with lips, one for each sound
    for wears in MOUTHS:
        plate = patch("plate-" + wears, 0.0, -1.36, 0.86, 0.55, 0.05, M["skin"], "quill-mouth", "quill-mouth", n=34, power=3.5)
        obs = [plate]
        if wears == "mouth-rest":
            obs.append(tube("line", [on_face(x, -1.34 + 0.16 * x * x + 0.03 * x, 0.06) for x in np.linspace(-0.62, 0.62, 9)], [0.02, 0.05, 0.06, 0.05, 0.02], M["black"], "quill-mouth", "quill-mouth", n=36, sides=8))
            obs.append(tube("low", [on_face(x, -1.49 + 0.16 * x * x, 0.0) for x in np.linspace(-0.55, 0.55, 7)], [0.05, 0.15, 0.18, 0.15, 0.05], M["lips"], "quill-mouth", "quill-mouth", n=34, sides=14))
            obs.append(tube("up", [on_face(x, -1.22 + 0.14 * x * x - 0.03 * np.cos(x * 8), 0.0) for x in np.linspace(-0.6, 0.6, 9)], [0.04, 0.11, 0.12, 0.11, 0.04], M["lips"], "quill-mouth", "quill-mouth", n=34, sides=12))
        else:
            t = np.linspace(0, 2 * np.pi, 17)
            ring = [on_face(0.36 * np.cos(q), -1.36 + 0.3 * np.sin(q), 0.03) for q in t]
            obs.append(tube("ring", ring, 0.125, M["lips"], "quill-mouth", "quill-mouth", n=60, sides=14, caps=False))
            obs.append(ball("hole", on_face(0, -1.36, -0.02), (0.34, 0.1, 0.27), M["black"], "quill-mouth", "quill-mouth", n=30))
        for o in obs:
            o["wears"] = wears
    # hair: tufts of ginger yarn that stand out under the cap on both sides
    rng = np.random.default_rng(177)
    for sx in (-1, 1):
        part = "quill-hair-left" if sx > 0 else "quill-hair-right"
        bone = part
        for k in range(44):
            t, row = rng.uniform(0, 1), k % 4
            root = np.array([sx * (1.75 + 0.1 * row), -1.0 + 1.5 * t, 0.75 - 0.45 * row + 0.1 * rng.standard_normal()])
            out = np.array([sx * (0.9 + 0.3 * rng.standard_normal()), -0.25 + 0.5 * rng.standard_normal(), -0.5 + 0.35 * rng.standard_normal()])
            mid = root + 0.55 * out + np.array([sx * 0.15, 0, 0.12])
            tip = root + 1.15 * out + np.array([0, 0, -0.5 - 0.4 * rng.random()])
            tube("quilltuft", [root, mid, tip], [0.17, 0.19, 0.12], M["hair"], part, bone, n=18, sides=9, u0=rng.uniform(0, 2))
        ball("quilltuftcore", (sx * 2.1, -0.35, 0.1), (0.45, 0.85, 0.75), M["hair"], part, bone)
    cap(M)


def cap(M):
    """A knitted cap with a rolled brim and a bobble."""
    P = B = "quill-cap"
    a = np.linspace(0, 2 * np.pi, 140, endpoint=False)
    prof = hb.smooth_path(np.array([(2.22, 1.0, 0), (2.3, 1.3, 0), (2.28, 1.9, 0), (2.05, 2.6, 0), (1.5, 3.15, 0), (0.7, 3.4, 0), (0.02, 3.45, 0)]), 70)[:, :2]
    d = np.r_[0, np.cumsum(np.hypot(*np.diff(prof, axis=0).T))]
    A, K = np.meshgrid(a, np.arange(len(prof)), indexing="ij")
    f = folds(231)
    R, Z = prof[K, 0], prof[K, 1]
    R = R + 0.05 * f(R * np.cos(A), R * np.sin(A), Z) * np.clip(R, 0, 1)

    def place(x, y, z):
        t = np.radians(-8)
        return np.stack([x, np.cos(t) * y - np.sin(t) * z + 0.1, np.sin(t) * y + np.cos(t) * z + 0.05], -1)
    sheet("quillcap", place(R * np.cos(A), R * np.sin(A), Z), np.stack([A * 2.2, d[K]], -1), M["knit"], P, B, wrap_u=True)
    b = np.linspace(0, 2 * np.pi, 25)
    A3, B3 = np.meshgrid(a, b, indexing="ij")
    Rv, Zv = 2.3 + 0.24 * np.cos(B3), 1.25 + 0.42 * np.sin(B3)
    sheet("quillbrim", place(Rv * np.cos(A3), Rv * np.sin(A3), Zv + 0.05 * np.cos(2 * A3)), np.stack([B3 * 0.4, A3 * 2.3], -1), M["knit"], P, B, wrap_u=True)
    rng = np.random.default_rng(232)
    c = place(0.0, 0.0, 3.7)
    for k in range(70):
        v = rng.standard_normal(3)
        v /= np.linalg.norm(v)
        tube("bobble", [c + 0.12 * v, c + 0.42 * v + 0.05 * rng.standard_normal(3), c + 0.6 * v + 0.08 * rng.standard_normal(3)], [0.13, 0.12, 0.07], M["knit"], P, B, n=8, sides=7, u0=rng.uniform(0, 3))


def build(holds_letter=True):
    M = mats()
    clothes(M)
    for side in ("left", "right"):
        arm(side, M)
    hand("left", M, True)
    hand("right", M, False)
    if holds_letter:
        letter(M, "quill-hand-left")
    head(M)


def parcel(M, at, part="parcel"):
    """A parcel in brown paper, tied with twine."""
    from hf_build import material as mat
    paper = mat("kraft", "kraft", bump=0.01, rough=0.85, spec=0.15)
    at = np.asarray(at, float)
    board("parcelbox", (4.6, 2.6, 2.5), paper, part, "parcel", at=at + np.array([0, 0, 1.25]), turn=(0, 0, 0), along=0, strip=0, u0=2.0, bevel=0.12, strip_cm=2.5)
    for x in (-0.9,):
        tube("tie", [at + np.array(v) for v in ((x, -1.34, 0.0), (x, -1.36, 1.2), (x, -1.34, 2.5), (x, 0, 2.56), (x, 1.3, 2.5))], 0.075, M["twine"], part, "parcel", n=50, sides=8)
    tube("tie", [at + np.array(v) for v in ((-2.34, -1.34, 1.25), (-0.9, -1.38, 1.28), (0.9, -1.36, 1.22), (2.34, -1.34, 1.25))], 0.075, M["twine"], part, "parcel", n=50, sides=8)
    tube("bow", [at + np.array(v) for v in ((-0.9, -1.4, 1.25), (-0.5, -1.5, 1.7), (-0.15, -1.48, 1.5), (-0.9, -1.4, 1.25), (-1.4, -1.5, 1.65), (-1.65, -1.46, 1.35), (-0.9, -1.4, 1.25))], 0.06, M["twine"], part, "parcel", n=60, sides=8)
    u, v = np.meshgrid(np.linspace(0, 1, 8), np.linspace(0, 1, 6), indexing="ij")
    lab = mat("quillletter", "postlabel", px_per_cm=230, bump=0.005, rough=0.85, spec=0.15)
    w, h = 3.04, 1.83
    k = 0.62
    sheet("parcellabel", np.stack([at[0] + 0.05 + u * w * k, at[1] - 1.315 + 0 * u, at[2] + 0.12 + v * h * k], -1), np.stack([u * w, v * h], -1), lab, part, "parcel")
