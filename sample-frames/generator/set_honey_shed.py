"""The honey shed: plank wall, window, shelf of jars, straw skep, hive boxes, bench with props; and its lamps."""
import os
import bpy
import numpy as np
import hf_build as hb
from hf_build import material, plain, lathe, tube, ball, board, sheet, folds

BENCH = 6.0       # height of the bench top, cm


def mats():
    return dict(
        planks=material("planks", "planks", px_per_cm=68.3, bump=0.04, rough=0.88, spec=0.15, bright=0.92),
        oak=material("oak", "oak", px_per_cm=68.3, bump=0.025, rough=0.6, spec=0.3),
        pine=material("pine", "pine", px_per_cm=68.3, bump=0.025, rough=0.7, spec=0.25),
        dark=material("darkwood", "dark", px_per_cm=68.3, bump=0.03, rough=0.75, spec=0.25),
        white=material("whitewood", "pine", px_per_cm=68.3, bump=0.02, rough=0.8, bright=1.15, sat=0.35),
        yellow=material("yellowwood", "planks", px_per_cm=68.3, bump=0.03, rough=0.8, bright=1.3, tint=(1.0, 0.80, 0.42)),
        comb=material("comb", "comb", px_per_cm=64, bump=0.05, rough=0.45, spec=0.4),
        honey=material("honeyjar", "honey", px_per_cm=100, bump=0, rough=0.12, spec=0.5, coat=0.8, emit=0.10),
        gingham=material("gingham", "gingham", bump=0.02, rough=0.9, spec=0.1),
        gingham2=material("gingham2", "gingham2", bump=0.02, rough=0.9, spec=0.1),
        twine=material("twine", "twine", px_per_cm=200, bump=0.03, rough=0.9, spec=0.1),
        skep=material("skep", "straw", px_per_cm=62, bump=0.07, rough=0.8, spec=0.2, bright=0.85),
        tin=material("tin", "tin", px_per_cm=110, bump=0.01, rough=0.42, spec=0.5, metallic=0.75),
        leather=material("leather", "leather", coords="BOX", bump=0.015, rough=0.55, spec=0.35),
        label1=material("label1", "label1", px_per_cm=230, bump=0.005, rough=0.85, spec=0.15),
        label2=material("label2", "label2", px_per_cm=230, bump=0.005, rough=0.85, spec=0.15),
        label3=material("label3", "label3", px_per_cm=230, bump=0.005, rough=0.85, spec=0.15),
        felt=material("lavender", "feltgrey", coords="BOX", px_per_cm=160, bump=0.03, rough=0.95, tint=(0.45, 0.34, 0.72)),
        stem=material("stem", "feltgrey", coords="BOX", px_per_cm=160, bump=0.02, rough=0.9, tint=(0.42, 0.46, 0.25)),
        iron=plain("iron", (0.05, 0.045, 0.04), rough=0.45, metallic=0.8),
    )


def jar(M, name, at, r, h, label=None, cap="gingham", part="", turn=0.0, seed=0):
    """A honey jar with a paper label and a cloth cap tied with twine. at: centre of its foot."""
    at = np.asarray(at, float)
    lathe(name, [(0, 0), (r * 0.92, 0), (r, 0.12), (r, h * 0.80), (r * 0.97, h * 0.86), (r * 0.80, h * 0.93), (r * 0.80, h)], M["honey"], part, "", n=72, at=at)
    f = folds(100 + seed)
    n, m = 120, 34
    a, t = np.linspace(0, 2 * np.pi, n, endpoint=False), np.linspace(0, 1, m)
    A, T = np.meshgrid(a, t, indexing="ij")
    R = np.where(T < 0.42, r * 0.86 * np.sin(np.clip(T / 0.42, 0, 1) * np.pi / 2) ** 0.75, r * 0.86 + 0)
    skirt = np.clip((T - 0.6) / 0.4, 0, 1)
    R = R + skirt * (0.42 + 0.13 * np.sin(9 * A + seed) + 0.08 * np.sin(14 * A + 2 * seed + 1)) - 0.10 * np.exp(-((T - 0.60) / 0.05) ** 2)
    Z = np.where(T < 0.42, h + 0.16 - 0.16 * (T / 0.42) ** 3, h - (T - 0.42) * 1.75) + skirt * (0.10 * np.sin(9 * A + seed + 1.2))
    X, Y = R * np.cos(A + turn), R * np.sin(A + turn)
    sheet(name + "cap", np.stack([X, Y, Z], -1) + at, np.stack([X * (1 + T * 0.4), Y * (1 + T * 0.4)], -1) + 5.12, M[cap], part, "", wrap_u=True, flip=True)
    zt = h - 0.32
    pts = [(np.cos(q) * (r * 0.86 - 0.02), np.sin(q) * (r * 0.86 - 0.02), zt) for q in np.linspace(0, 2 * np.pi, 17)]
    tube(name + "tie", np.array(pts) + at, 0.085, M["twine"], part, "", n=60, sides=8, caps=False)
    for sx in (-1, 1):
        tube(name + "bow", np.array([(0.0, -r * 0.9, zt), (sx * 0.3, -r * 1.02, zt + 0.22), (sx * 0.62, -r * 0.98, zt + 0.02), (sx * 0.3, -r * 1.0, zt - 0.12), (0, -r * 0.92, zt)]) + at,
             0.05, M["twine"], part, "", n=26, sides=8)
        tube(name + "end", np.array([(0.0, -r * 0.92, zt), (sx * 0.2, -r * 1.0, zt - 0.3), (sx * 0.32, -r * 1.02, zt - 0.62)]) + at, 0.045, M["twine"], part, "", n=14, sides=8)
    if label:
        wide, high = 700 / 230, 420 / 230
        k = min(1.0, h * 0.55 / high)
        half = wide * k / 2 / (r + 0.015)
        a, z = np.linspace(-half, half, 40), np.linspace(0, 1, 10)
        A, Z = np.meshgrid(a, z, indexing="ij")
        rr = r + 0.015 + 0.012 * np.sin(A * 9 + seed) * Z
        P = np.stack([rr * np.sin(A + turn), -rr * np.cos(A + turn), h * 0.40 + (Z - 0.5) * high * k], -1) + at
        sheet(name + "label", P, np.stack([(A / half + 1) / 2 * wide, Z * high], -1), M[label], part, "")


def hive_frame(M, at, w=8.6, h=4.5, lean=0.10, part="hive-frame"):
    """A brood frame: four slats and the comb between them, leaning a little."""
    at = np.asarray(at, float)

    def p(x, y, z):
        return (at[0] + x, at[1] + y * np.cos(lean) + z * np.sin(lean), at[2] + z * np.cos(lean) - y * np.sin(lean))
    turn = (-lean, 0, 0)
    board("frametop", (w + 1.5, 0.62, 0.55), M["pine"], part, "", at=p(0, 0, h - 0.27), turn=turn, along=0, strip=1, u0=3)
    board("framebot", (w, 0.5, 0.42), M["pine"], part, "", at=p(0, 0, 0.21), turn=turn, along=0, strip=3, u0=9)
    for sx in (-1, 1):
        board("frameside", (0.5, 0.55, h - 0.6), M["pine"], part, "", at=p(sx * (w / 2 - 0.25), 0, (h - 0.55) / 2 + 0.1), turn=turn, along=2, strip=5 + sx, u0=4)
    u, v = np.meshgrid(np.linspace(0, 1, 60), np.linspace(0, 1, 40), indexing="ij")
    f = folds(55, low=0.3, high=0.9)
    X, Z = (u - 0.5) * (w - 0.7), 0.4 + v * (h - 0.85)
    Y = -0.12 - 0.10 * f(X, 0, Z) - 0.1 * np.sin(u * np.pi) * np.sin(v * np.pi)
    P = np.stack([at[0] + X, at[1] + Y * np.cos(lean) + Z * np.sin(lean), at[2] + Z * np.cos(lean) - Y * np.sin(lean)], -1)
    sheet("combface", P, np.stack([X + 6, Z + 2], -1), M["comb"], part, "")


def smoker(M, at, part="smoker"):
    """A bee smoker of tinplate with leather bellows."""
    at = np.asarray(at, float)
    lathe("can", [(0, 0), (1.42, 0), (1.5, 0.08), (1.5, 0.3), (1.44, 0.36), (1.44, 3.2), (1.5, 3.26), (1.5, 3.5), (1.45, 3.55)], M["tin"], part, "", n=64, at=at)
    lathe("lid", [(1.56, 3.4), (1.58, 3.6), (1.4, 3.95), (0.95, 4.6), (0.55, 5.2), (0.45, 5.6), (0.5, 5.65), (0.36, 5.6), (0.3, 5.2)], M["tin"], part, "", n=56, at=at,
          wobble=lambda a, t: 0.02 * np.sin(3 * a) * t)
    lathe("band", [(1.47, 1.5), (1.53, 1.55), (1.53, 1.85), (1.47, 1.9)], M["iron"], part, "", n=56, at=at)
    # bellows on the picture's right: two boards, and leather folds between them that open upwards
    for k in range(5):
        t = 0.055 * (k - 2)
        r = 0.0 if k % 2 else 0.14
        board("fold%d" % k, (0.25, 1.9 - 2 * r, 3.0 - 2 * r), M["leather"], part, "", at=at + np.array([1.62 + k * 0.22, 0.95, 1.75]), turn=(0, t, 0), bevel=0.09)
    for x, t in ((1.38, -0.17), (2.76, 0.17)):
        board("bellow", (0.24, 2.2, 3.5), M["oak"], part, "", at=at + np.array([x, 0.95, 1.85]), turn=(0, t, 0), along=2, strip=4, u0=x)


def window_picture(path):
    """What the window shows: sky and a far meadow, out of focus. Painted."""
    from scipy.ndimage import gaussian_filter
    from PIL import Image
    rng = np.random.default_rng(91)
    h, w = 360, 400
    y = np.linspace(0, 1, h)[:, None, None]
    sky = np.array([0.80, 0.90, 0.98]) * (1 - y) + np.array([1.0, 0.97, 0.86]) * y
    img = np.broadcast_to(sky, (h, w, 3)).copy()
    hills = 0.62 + 0.07 * np.sin(np.linspace(0, 5, w)) + 0.02 * np.sin(np.linspace(0, 23, w))
    m = (np.linspace(0, 1, h)[:, None] > hills[None])[..., None]
    leaf = gaussian_filter(rng.standard_normal((h, w)), 9)
    leaf = leaf / leaf.std()
    img = np.where(m, np.array([0.46, 0.62, 0.30]) * (1 + 0.22 * leaf[..., None]), img)
    for _ in range(46):
        cx, cy, r = rng.uniform(0, w), rng.uniform(0.25, 0.75) * h, rng.uniform(8, 22)
        d = np.hypot(np.arange(w)[None] - cx, np.arange(h)[:, None] - cy)
        img += (d < r)[..., None] * np.array([0.05, 0.07, 0.0]) * rng.uniform(-1, 1)
    img = gaussian_filter(np.clip(img, 0, 1), (5, 5, 0))
    Image.fromarray((np.clip(img, 0, 1) * 255).astype(np.uint8)).save(path)


def window(M, x0, x1, z0, z1, y):
    path = os.path.join(hb.TEX, "window_c.png")
    window_picture(path)
    m = bpy.data.materials.new("view")
    m.use_nodes = True
    nt = m.node_tree
    nt.nodes.remove(nt.nodes["Principled BSDF"])
    t = nt.nodes.new("ShaderNodeTexImage")
    t.image = bpy.data.images.load(path)
    e = nt.nodes.new("ShaderNodeEmission")
    e.inputs["Strength"].default_value = 0.8
    nt.links.new(t.outputs["Color"], e.inputs["Color"])
    nt.links.new(e.outputs[0], nt.nodes["Material Output"].inputs["Surface"])
    v = [(x0, y + 0.35, z0), (x1, y + 0.35, z0), (x1, y + 0.35, z1), (x0, y + 0.35, z1)]
    hb.mesh_object("view", v, [(0, 1, 2, 3)], m, uvs=[(0, 0), (1, 0), (1, 1), (0, 1)], smooth=False)
    xc, zc, w, h = (x0 + x1) / 2, (z0 + z1) / 2, x1 - x0, z1 - z0
    for k, x in enumerate((x0, xc, x1)):
        board("jamb", (0.55 if k == 1 else 0.9, 0.8, h + 0.8), M["white"], at=(x, y - 0.1, zc), along=2, strip=k + 2, u0=k * 5)
    for k, z in enumerate((z0, z0 + h * 0.55, z1)):
        board("bar", (w + 0.9, 0.8 if k != 1 else 0.6, 0.9 if k != 1 else 0.5), M["white"], at=(xc, y - 0.12, z), along=0, strip=k + 4, u0=k * 4)
    board("sill", (w + 2.6, 2.0, 0.5), M["white"], at=(xc, y - 1.0, z0 - 0.6), along=0, strip=1, u0=2)


def usual_props(M):
    jar(M, "jar", (-13.6, -5.9, BENCH), 1.95, 5.0, "label1", "gingham", part="jar", turn=0.16, seed=1)
    jar(M, "smalljar", (-17.6, -4.9, BENCH), 1.35, 3.5, "label2", "gingham2", turn=0.1, seed=2)
    hive_frame(M, (9.6, -5.2, BENCH), w=8.4, h=4.3)
    smoker(M, (17.1, -5.0, BENCH))
    board("scraper", (4.6, 0.75, 0.14), M["tin"], at=(-6.6, -6.6, BENCH + 0.10), turn=(0, 0, 0.22), along=0)
    board("scrapergrip", (1.9, 0.85, 0.3), M["leather"], at=(-8.2, -6.95, BENCH + 0.16), turn=(0, 0, 0.22), along=0)
    import puppet_oda
    PM = puppet_oda.mats()
    puppet_oda.bee(PM, "", "", (-1.6, -6.9, BENCH + 0.55), yaw=2.6, k=0.9)


def build(props=None):
    """props: lays other things on the bench than the usual ones; gets the materials."""
    M = mats()
    rng = np.random.default_rng(60)
    y = 13.0
    wx0, wx1, wz0, wz1 = 9.2, 19.0, 17.2, 27.5
    widths = [3.5 + 0.12 * rng.standard_normal() for _ in range(17)]
    edges = -30.0 + np.r_[0, np.cumsum(widths)]
    wx0, wx1 = edges[np.abs(edges - wx0).argmin()], edges[np.abs(edges - wx1).argmin()]
    x = -30.0
    for k, w in enumerate(widths):
        xc = x + w / 2
        spans = [(-4.0, 34.0)]
        if wx0 < xc < wx1:
            spans = [(-4.0, wz0), (wz1, 34.0)]
        for a, b in spans:
            board("plank%d" % k, (w - 0.10, 0.5, b - a), M["planks"], at=(xc, y + 0.25 + 0.05 * rng.standard_normal(), (a + b) / 2), along=2, strip=k % 8,
                  u0=rng.uniform(0, 30), bevel=0.07)
            for zz in (8.0, 22.5):
                for dx in (-0.9, 0.9):
                    if a < zz < b:
                        ball("nail", (xc + dx + 0.1 * rng.standard_normal(), y - 0.02, zz + 0.12 * rng.standard_normal()), (0.12, 0.05, 0.12), M["iron"], n=10)
        x += w
    board("behind", (70, 0.3, 40), plain("gap", (0.01, 0.008, 0.006)), at=(0, y + 1.2, 15))
    window(M, wx0, wx1, wz0, wz1, y + 0.2)
    # shelf
    zs = 17.4
    board("shelf", (15.0, 3.4, 0.6), M["oak"], at=(-15.2, y - 1.8, zs), along=0, strip=2, u0=1)
    for bx in (-19.5, -10.0):
        board("bracket", (0.5, 2.4, 0.5), M["dark"], at=(bx, y - 1.3, zs - 0.6), along=1, strip=1)
        board("bracket", (0.5, 0.5, 2.4), M["dark"], at=(bx, y - 0.3, zs - 1.4), along=2, strip=3)
    for i, (jx, r, h, cap, lab, jy) in enumerate(((-20.4, 1.45, 3.9, "gingham2", "label3", -1.7), (-16.9, 1.6, 4.4, "gingham", "label2", -1.9), (-13.2, 1.35, 3.5, "gingham2", "label1", -1.5),
                                                  (-9.8, 1.5, 4.2, "gingham", "label3", -1.9))):
        jar(M, "shelfjar%d" % i, (jx, y + jy, zs + 0.3), r, h, lab, cap, turn=0.12 * (-1) ** i, seed=i + 3)
    # skep
    prof = []
    for q in range(10):
        t = q / 9.0
        r = 4.3 * np.sqrt(max(1 - (t * 0.985) ** 2.4, 0.0005))
        z = 8.4 * t
        prof += [(max(r - 0.16, 0.01), z), (r + 0.02, z + 0.22), (r + 0.10, z + 0.42), (max(r - 0.02, 0.02), z + 0.66)]
    prof[-1] = (0.0, prof[-1][1])
    f = folds(71)
    lathe("skep", prof, M["skep"], n=110, at=(-17.2, 7.2, 2.6), wobble=lambda a, t: 0.06 * np.sin(3 * a + t * 40))
    board("skepstand", (11, 7, 0.6), M["dark"], at=(-17, 7, 2.3), along=0, strip=5)
    # hive boxes under the window
    for q, (zc, dx) in enumerate(((3.2, 0.0), (7.4, 0.35), (11.1, -0.25))):
        hgt = 4.0 if q < 2 else 3.2
        for s in range(2):
            board("box%d%d" % (q, s), (10.4, 6.0, hgt / 2 - 0.06), M["yellow"] if q != 1 else M["white"], at=(15.6 + dx, 8.2, zc - hgt / 4 + s * hgt / 2), along=0, strip=(q * 2 + s) % 8, u0=q * 7 + s * 3)
        board("grip", (2.6, 0.3, 0.55), M["dark"], at=(15.6 + dx, 5.12, zc + 0.3), along=0, strip=q)
    board("boxlid", (11.2, 6.6, 0.6), M["pine"], at=(15.5, 8.2, 13.0), along=0, strip=6, u0=11)
    # dried lavender on a nail
    nx, nz = 7.0, 21.8
    for q in range(17):
        s = (q - 8) / 8.0
        bx = nx + s * 1.5 + 0.15 * rng.standard_normal()
        bz = nz - 4.4 + 0.9 * s * s + 0.35 * rng.standard_normal()
        by = y - 0.7 + 0.35 * rng.standard_normal()
        tube("stem", [(nx + s * 0.7, y - 0.6, nz + 1.2 - 0.2 * abs(s)), (nx + s * 0.15, y - 0.6, nz - 0.2), (bx, by, bz)], 0.055, M["stem"], n=14, sides=6)
        for e in range(5):
            ball("bud", (bx + (bx - nx) * 0.07 * e + 0.05 * rng.standard_normal(), by, bz - 0.27 * e), (0.17 - 0.015 * e, 0.17, 0.19), M["felt"], n=10)
    tube("lacing", [(nx - 0.3, y - 0.85, nz - 0.1), (nx, y - 1.0, nz - 0.15), (nx + 0.3, y - 0.85, nz - 0.1)], 0.16, M["twine"], n=12, sides=8)
    # tools on nails, left
    board("hivetool", (0.7, 0.12, 5.6), M["tin"], at=(-11.0, y - 0.15, 12.4), turn=(0, 0.10, 0), along=2)
    ball("nail", (-11.2, y - 0.3, 15.0), (0.14, 0.2, 0.14), M["iron"], n=12)
    board("brush", (0.6, 0.5, 3.6), M["oak"], at=(-8.3, y - 0.3, 13.3), turn=(0, -0.06, 0), along=2, strip=2)
    board("brushhead", (2.4, 0.6, 0.9), M["oak"], at=(-8.2, y - 0.3, 11.2), turn=(0, -0.06, 0), along=0, strip=3)
    for q in range(26):
        xx = -9.25 + 2.1 * q / 25
        tube("bristle", [(xx, y - 0.35 + 0.1 * rng.standard_normal(), 10.85), (xx + 0.06 * rng.standard_normal(), y - 0.4, 10.1), (xx + 0.1 * rng.standard_normal(), y - 0.42, 9.35)], 0.05, M["twine"], n=8, sides=6)
    # bench
    for q in range(3):
        yy = -9.2 + q * 2.35
        board("bench%d" % q, (60, 2.3, 0.8), M["oak"], part="bench", at=(1.3 * q, yy, BENCH - 0.4), along=0, strip=(q * 3 + 1) % 8, u0=q * 13.0 + 4, bevel=0.08, strip_cm=3.75)
    board("apronboard", (60, 0.6, 3.4), M["oak"], part="bench", at=(0, -9.6, BENCH - 2.6), along=0, strip=6, u0=17, bevel=0.08)
    # props on the bench
    (props or usual_props)(M)
    # a few crumbs of wax
    for q in range(40):
        ball("crumb", (rng.uniform(-12, 14), rng.uniform(-9.6, -6.2), BENCH + 0.03), rng.uniform(0.04, 0.11, 3), M["pine"], n=8)


def lamps():
    """Soft key from the picture's right, cool fill from the left, warm rim from behind, and a wash on the wall."""
    from mathutils import Vector

    def area(name, at, aim, size, watts, colour):
        L = bpy.data.lights.new(name, "AREA")
        L.shape, L.size, L.energy, L.color = "DISK", size, watts, colour
        o = bpy.data.objects.new(name, L)
        bpy.context.collection.objects.link(o)
        o.location = at
        o.rotation_euler = (Vector(aim) - Vector(at)).to_track_quat("-Z", "Y").to_euler()
    area("key", (34, -46, 46), (0, 0, 13), 14, 76000, (1.0, 0.90, 0.76))
    area("fill", (-52, -50, 22), (0, 0, 12), 26, 24000, (0.80, 0.89, 1.0))
    area("rim", (-24, 11.0, 42), (0, 0, 16), 7, 24000, (1.0, 0.84, 0.62))
    w = bpy.data.worlds.new("w")
    bpy.context.scene.world = w
    w.use_nodes = True
    w.node_tree.nodes["Background"].inputs[0].default_value = (0.60, 0.66, 0.78, 1)
    w.node_tree.nodes["Background"].inputs[1].default_value = 0.16
    w.cycles.sampling_method = "NONE"
    bpy.data.materials["view"].cycles.sample_as_light = False
