"""Painted textures for the miniature sets: cloth, wood, skin, straw, paper.

Every function returns (albedo, height): albedo is H x W x 3 in sRGB 0..1, height is H x W in 0..1.
They are written as PNG files into a scratch folder and loaded from there by materials.py.
One scale for all of them: 100 texture pixels per centimetre of puppet unless said otherwise.
"""
import os
import numpy as np
from scipy.ndimage import gaussian_filter, map_coordinates
import cv2
from PIL import Image, ImageDraw, ImageFont


def _noise(rng, shape, sigma):
    """Smooth noise with unit standard deviation that repeats at the edges."""
    n = gaussian_filter(rng.standard_normal(shape), sigma, mode="wrap")
    return n / (n.std() + 1e-9)


def _mix(a, b, t):
    return a + (b - a) * t[..., None]


def rgb(hexcode):
    h = hexcode.lstrip("#")
    return np.array([int(h[i:i + 2], 16) / 255 for i in (0, 2, 4)])


def weave(seed, warp, weft, period=12, size=2048, twill=False, flecks=(), fleck_share=0.05, uneven=0.10, stripe=None):
    """Woven cloth. period: threads, px. flecks: colours of slubs. stripe(i, j) may recolour whole threads."""
    rng = np.random.default_rng(seed)
    y, x = np.mgrid[0:size, 0:size].astype(np.float64)
    x += _noise(rng, (size, size), 40) * 2.0 + _noise(rng, (size, size), 7) * 0.7
    y += _noise(rng, (size, size), 40) * 2.0 + _noise(rng, (size, size), 7) * 0.7
    n = size // period + 4
    i = np.floor(x / period).astype(int) % n
    j = np.floor(y / period).astype(int) % n
    u = x / period - np.floor(x / period) - 0.5
    v = y / period - np.floor(y / period) - 0.5
    over = ((i + 2 * j) % 4 < 2) if twill else ((i + j) % 2 == 0)
    across = np.where(over, u, v)
    along = np.where(over, v, u)
    h = np.sqrt(np.clip(1 - (across * 1.9) ** 2, 0, 1)) * (0.72 + 0.28 * np.cos(along * np.pi))
    warp_c = rgb(warp)[None] * (1 + uneven * rng.standard_normal((n, 1)))
    weft_c = rgb(weft)[None] * (1 + uneven * rng.standard_normal((n, 1)))
    if stripe is not None:
        for k in range(n):
            c = stripe(k, True)
            if c is not None:
                warp_c[k] = rgb(c)
            c = stripe(k, False)
            if c is not None:
                weft_c[k] = rgb(c)
    col = np.where(over[..., None], warp_c[i], weft_c[j])
    cell = rng.standard_normal((n, n))
    col = col * (1 + 0.10 * cell[j, i])[..., None]
    if flecks:
        # slubs: runs of one thread in another colour
        pick = np.full((n, n), -1)
        for _ in range(int(n * n * fleck_share / 3)):
            a, b, k = rng.integers(n), rng.integers(n), rng.integers(len(flecks))
            ln = rng.integers(1, 5)
            for q in range(ln):
                pick[(a + q * 2) % n, b] = k
        fk = pick[j, i]
        for k, c in enumerate(flecks):
            col = np.where((fk == k)[..., None], rgb(c) * (0.9 + 0.2 * h[..., None]), col)
    fibre = np.where(over, _noise(rng, (size, size), (3, 0.7)), _noise(rng, (size, size), (0.7, 3)))
    col = col * (0.60 + 0.42 * h)[..., None] * (1 + 0.06 * fibre)[..., None]
    col = col * (1 + 0.05 * _noise(rng, (size, size), 90))[..., None]
    height = np.clip(h + 0.07 * fibre, 0, 1)
    return np.clip(col, 0, 1), height


def gingham(seed, light, dark, period=9, check=6):
    return weave(seed, light, light, period=period, size=1024, uneven=0.03,
                 stripe=lambda k, _w: dark if (k // check) % 2 else None)


def dotted(seed, ground, dot, pitch=62, radius=13):
    """Printed neckerchief: fine weave with offset dots, none quite round."""
    a, h = weave(seed, ground, ground, period=8, size=1024, uneven=0.07)
    rng = np.random.default_rng(seed + 1)
    y, x = np.mgrid[0:1024, 0:1024].astype(float)
    x += _noise(rng, (1024, 1024), 9) * 1.5
    y += _noise(rng, (1024, 1024), 9) * 1.5
    row = np.floor(y / pitch)
    cx = (np.floor((x / pitch) + 0.5 * (row % 2)) + 0.5 - 0.5 * (row % 2)) * pitch
    d = np.hypot(x - cx, y - (row + 0.5) * pitch)
    m = np.clip(radius - d, 0, 2) / 2
    return np.clip(_mix(a, np.broadcast_to(rgb(dot), a.shape) * (0.6 + 0.4 * h[..., None]), m), 0, 1), h


def yarn(seed, colour, dark, period=22, size=512):
    """Twisted yarn for hair: u runs round the strand, v along it."""
    rng = np.random.default_rng(seed)
    y, x = np.mgrid[0:size, 0:size].astype(float)
    ph = (x * (size // period) / size + y * (size // period) / size) + 0.12 * _noise(rng, (size, size), 12)
    s = np.abs(((ph % 1) - 0.5) * 2)
    h = np.sqrt(np.clip(1 - s ** 2, 0, 1))
    f = _noise(rng, (size, size), (2.4, 0.8))
    t = np.clip(0.25 + 0.75 * h + 0.12 * f, 0, 1)
    col = _mix(np.broadcast_to(rgb(dark), (size, size, 3)), np.broadcast_to(rgb(colour), (size, size, 3)), t)
    col = col * (1 + 0.12 * _noise(rng, (size, size), 18))[..., None]
    return np.clip(col, 0, 1), np.clip(h + 0.08 * f, 0, 1)


def wood(seed, light, dark, strips=8, size=2048, rings=7.0, contrast=1.0, pale=None):
    """An atlas of boards: 8 strips, grain along u; 2048 px are 30 cm, a strip is 3.75 cm."""
    rng = np.random.default_rng(seed)
    sh = size // strips
    out, hh = [], []
    for _ in range(strips):
        y, x = np.mgrid[0:sh, 0:size].astype(float)
        warp = _noise(rng, (sh, size), (30, 260)) * 26 + _noise(rng, (sh, size), (9, 70)) * 4
        knot = np.zeros((sh, size))
        bend = np.zeros((sh, size))
        for _k in range(rng.integers(1, 4)):
            kx, ky, kr = rng.uniform(0, size), rng.uniform(0.15, 0.85) * sh, rng.uniform(9, 20)
            dx = (x - kx + size / 2) % size - size / 2
            d = np.hypot(dx / 2.0, y - ky)
            bend += np.sign(y - ky) * 30 * np.exp(-(d / (kr * 2.4)) ** 2)
            knot = np.maximum(knot, np.clip(1.3 - d / kr, 0, 1))
        ring = (y + warp + bend) / sh * rings * (0.7 + 0.6 * rng.random())
        r = (ring % 1.0)
        r = np.clip(r, 0, 1) ** 2.2                       # late wood: dark at one side of each ring
        fib = _noise(rng, (sh, size), (0.9, 16))
        fib2 = _noise(rng, (sh, size), (2.2, 60))
        pore = (_noise(rng, (sh, size), (0.9, 7)) > 1.9) * 1.0
        t = 0.30 + contrast * (0.36 * r + 0.085 * fib + 0.10 * fib2) + 0.5 * knot
        tone = 0.86 + 0.28 * rng.random()
        col = _mix(np.broadcast_to(rgb(light), (sh, size, 3)), np.broadcast_to(rgb(dark), (sh, size, 3)), np.clip(t, 0, 1.15))
        col = col * (1 - 0.28 * gaussian_filter(pore, (0.5, 1.5)))[..., None] * tone
        if pale is not None:                               # worn paint that has stayed in places
            keep = np.clip(0.62 + 0.45 * _noise(rng, (sh, size), (14, 70)) - 0.22 * fib - 0.25 * r, 0, 1)
            col = _mix(col, np.broadcast_to(rgb(pale), col.shape) * (1 + 0.05 * fib2)[..., None] * tone, keep * 0.85)
        edge = np.minimum(y, sh - 1 - y)
        col = col * (1 - 0.35 * np.exp(-edge / 5.0))[..., None]
        out.append(col)
        hh.append(0.6 - 0.25 * r + 0.14 * fib - 0.3 * pore)
    h = np.concatenate(hh)
    return np.clip(np.concatenate(out), 0, 1), np.clip(h, 0, 1)


def skin(seed, base="#e0a582", flush="#c8765c", pale="#efc6a6", freckle="#8d5236", size=1024):
    """Mottled silicone: flush and pale patches, freckles, pores. 100 px per cm."""
    rng = np.random.default_rng(seed)
    s = (size, size)
    col = np.broadcast_to(rgb(base), (size, size, 3)).copy()
    for sg, amt in ((44, 0.20), (17, 0.22), (8, 0.22), (4.5, 0.16)):
        n = _noise(rng, s, sg)
        col = _mix(col, np.broadcast_to(rgb(flush), col.shape), np.clip(n, 0, 2) * amt)
        col = _mix(col, np.broadcast_to(rgb(pale), col.shape), np.clip(-n, 0, 2) * amt * 0.8)
    m = np.zeros(s)
    for _ in range(620):
        cx, cy, r = rng.uniform(0, size), rng.uniform(0, size), rng.uniform(2.0, 5.5)
        cv2.circle(m, (int(cx), int(cy)), int(r), float(rng.uniform(0.15, 0.6)), -1, cv2.LINE_AA)
    m = gaussian_filter(m, 1.2)
    col = _mix(col, np.broadcast_to(rgb(freckle), col.shape), np.clip(m, 0, 1))
    pores = np.zeros(s)
    for _ in range(5200):
        pores[rng.integers(size), rng.integers(size)] = rng.uniform(0.4, 1)
    pores = gaussian_filter(pores, 1.6, mode="wrap")
    pores = pores / pores.max()
    col = col * (1 - 0.35 * np.clip(pores * 1.5, 0, 1))[..., None]
    h = 0.6 - 0.6 * pores + 0.10 * _noise(rng, s, 3) + 0.08 * _noise(rng, s, 9)
    return np.clip(col, 0, 1), np.clip(h, 0, 1)


def straw(seed, light="#e6c47c", dark="#a4742f", size=2048, row=34):
    """Plaited straw: rows of chevrons. u along the plait, v across the rows."""
    rng = np.random.default_rng(seed)
    y, x = np.mgrid[0:size, 0:size].astype(float)
    y = y + _noise(rng, (size, size), 50) * 2.5
    r = np.floor(y / row).astype(int)
    v = y / row - r
    side = v > 0.5
    shift = rng.uniform(0, 40, r.max() + 3)[r]
    pitch = 17.0
    ph = (x + shift + np.where(side, 1, -1) * (v - 0.5) * row * 0.9) / pitch
    k = np.floor(ph).astype(int)
    s = ph - k - 0.5
    h = np.sqrt(np.clip(1 - (s * 1.95) ** 2, 0, 1)) * np.clip(1.25 - (np.abs(v - 0.5) * 2) ** 4, 0, 1)
    tone = rng.standard_normal((r.max() + 3, 512, 2))[r, k % 512, side.astype(int)]
    t = np.clip(0.42 + 0.24 * tone, 0, 1)
    col = _mix(np.broadcast_to(rgb(light), (size, size, 3)), np.broadcast_to(rgb(dark), (size, size, 3)), t)
    col = col * (0.42 + 0.62 * np.clip(h, 0, 1))[..., None]
    return np.clip(col, 0, 1), np.clip(h, 0, 1)


def comb(seed, size=1024, cell=26):
    """Honeycomb, some cells capped with wax, some full of honey. 64 px per cm."""
    rng = np.random.default_rng(seed)
    y, x = np.mgrid[0:size, 0:size].astype(float)
    x += _noise(rng, (size, size), 30) * 2.0
    y += _noise(rng, (size, size), 30) * 2.0
    best = np.full((size, size), 1e9)
    second = best.copy()
    ident = np.zeros((size, size))
    hgt = cell * np.sqrt(3) / 2
    for dr in (-1, 0, 1):
        row = np.round(y / hgt) + dr
        off = (row % 2) * 0.5
        c = np.round(x / cell - off)
        for dc in (-1, 0, 1):
            px, py = (c + dc + off) * cell, row * hgt
            d = np.hypot(x - px, y - py)
            idn = (c + dc) * 131 + row * 7919
            near = d < best
            second = np.where(near, best, np.minimum(second, d))
            ident = np.where(near, idn, ident)
            best = np.where(near, d, best)
    wall = np.clip((second - best) / 5.0, 0, 1)
    rnd = np.sin(ident * 12.9898) * 43758.5453
    rnd = rnd - np.floor(rnd)
    patch = _noise(rng, (size, size), 120)
    capped = (rnd + 0.35 * patch) > 0.62
    wax, honey, deep = rgb("#e2b763"), rgb("#b06a14"), rgb("#6b3a0c")
    inner = np.clip(best / (cell * 0.45), 0, 1)
    col = _mix(np.broadcast_to(deep, (size, size, 3)), np.broadcast_to(honey, (size, size, 3)), inner * 0.6 + 0.4 * rnd)
    col = np.where(capped[..., None], wax * (0.86 + 0.2 * rnd[..., None]), col)
    col = _mix(np.broadcast_to(rgb("#d9a84e"), col.shape), col, wall)
    col = col * (1 + 0.05 * _noise(rng, (size, size), 2))[..., None]
    h = np.where(capped, 0.75, 0.25 + 0.2 * inner) * wall + (1 - wall) * 0.95
    return np.clip(col, 0, 1), np.clip(gaussian_filter(h, 1.0), 0, 1)


def paper_label(seed, title, line, w=700, h=420):
    """A hand-cut paper label with an invented honey's name."""
    rng = np.random.default_rng(seed)
    im = Image.new("RGB", (w, h), (236, 222, 190))
    d = ImageDraw.Draw(im)
    big = ImageFont.truetype("/usr/share/fonts/truetype/dejavu/DejaVuSerif-Bold.ttf", 112) if os.path.exists(
        "/usr/share/fonts/truetype/dejavu/DejaVuSerif-Bold.ttf") else ImageFont.load_default()
    small = ImageFont.truetype("/usr/share/fonts/truetype/dejavu/DejaVuSerif-Bold.ttf", 50) if os.path.exists(
        "/usr/share/fonts/truetype/dejavu/DejaVuSerif-Bold.ttf") else ImageFont.load_default()
    d.rectangle((16, 16, w - 17, h - 17), outline=(150, 60, 40), width=9)
    d.rectangle((32, 32, w - 33, h - 33), outline=(150, 60, 40), width=3)
    while d.textlength(title, font=big) > w - 120:
        big = big.font_variant(size=big.size - 4)
    tw = d.textlength(title, font=big)
    d.text(((w - tw) / 2, 175), title, font=big, fill=(70, 42, 26))
    tw = d.textlength(line, font=small)
    d.text(((w - tw) / 2, 320), line, font=small, fill=(150, 60, 40))
    for k in (-1, 0, 1):
        cx, cy, r = w / 2 + k * 74, 112, 41
        pts = [(cx + r * np.cos(a), cy + r * np.sin(a)) for a in np.arange(6) * np.pi / 3 + np.pi / 6]
        d.polygon(pts, fill=(214, 150, 40) if k else (120, 66, 20), outline=(90, 50, 20))
    a = np.asarray(im).astype(float) / 255
    a = gaussian_filter(a, (0.8, 0.8, 0))
    a = a * (1 + 0.04 * _noise(rng, (h, w), 1.2) + 0.05 * _noise(rng, (h, w), 30))[..., None]
    return np.clip(a, 0, 1), np.clip(0.5 + 0.1 * _noise(rng, (h, w), 1.5), 0, 1)


def tin(seed, base="#9c8f80", rust="#7a4a2c", size=1024):
    """Worn tinplate: scratches, spots, rust in patches."""
    rng = np.random.default_rng(seed)
    s = (size, size)
    col = np.broadcast_to(rgb(base), (size, size, 3)).copy()
    col = col * (1 + 0.10 * _noise(rng, s, 5) + 0.10 * _noise(rng, s, (2, 20)) + 0.06 * _noise(rng, s, 60))[..., None]
    n = _noise(rng, s, 18) + 0.6 * _noise(rng, s, 5)
    col = _mix(col, np.broadcast_to(rgb(rust), col.shape), np.clip(n - 0.6, 0, 0.9))
    return np.clip(col, 0, 1), np.clip(0.5 + 0.12 * n, 0, 1)


def honey(seed, size=1024):
    """Honey behind glass: cloudy, crystals and small bubbles near the wall."""
    rng = np.random.default_rng(seed)
    s = (size, size)
    col = np.broadcast_to(rgb("#c47d17"), (size, size, 3)).copy()
    n = _noise(rng, s, (30, 60)) * 0.6 + _noise(rng, s, 9) * 0.35 + _noise(rng, s, 3.5) * 0.25
    col = _mix(col, np.broadcast_to(rgb("#eeb23f"), col.shape), np.clip(n * 0.4 + 0.1, 0, 0.8))
    col = _mix(col, np.broadcast_to(rgb("#6e3606"), col.shape), np.clip(-n * 0.4, 0, 0.8))
    m = np.zeros(s)
    for _ in range(700):
        cv2.circle(m, (int(rng.uniform(0, size)), int(rng.uniform(0, size))), int(rng.uniform(2, 5)), 1.0, -1, cv2.LINE_AA)
    col = _mix(col, np.broadcast_to(rgb("#ffdb86"), col.shape), 0.55 * gaussian_filter(m, 1))
    return np.clip(col, 0, 1), np.full(s, 0.5)


def eye(seed, size=512):
    """Iris, pupil and a veined white; the middle of the picture is where the eye looks. 1 cm across."""
    rng = np.random.default_rng(seed)
    y, x = (np.mgrid[0:size, 0:size] + 0.5) / size * 2 - 1
    r, a = np.hypot(x, y) * 0.5, np.arctan2(y, x)
    ang = _noise(rng, (1, 720), (0, 4))[0][((a / (2 * np.pi) + 0.5) * 719).astype(int)]
    white = rgb("#f1e9dc") * (1 + 0.03 * _noise(rng, (size, size), 6))[..., None]
    iris = _mix(np.broadcast_to(rgb("#5d8a86"), (size, size, 3)), np.broadcast_to(rgb("#2c4a4c"), (size, size, 3)), np.clip(0.35 + 0.35 * ang, 0, 1))
    ring = np.clip((0.235 - r) / 0.012, 0, 1)
    edge = np.exp(-((r - 0.225) / 0.02) ** 2)
    c = _mix(white, iris * (1 - 0.6 * edge)[..., None], ring)
    c = _mix(c, np.broadcast_to(rgb("#120c0a"), c.shape), np.clip((0.125 - r) / 0.012, 0, 1))
    return np.clip(c, 0, 1), np.full((size, size), 0.5)


def felt(seed, a, b=None, size=512, bands=0):
    """Needle felt: matted fibres; bands of a second colour along v."""
    rng = np.random.default_rng(seed)
    s = (size, size)
    f = _noise(rng, s, (0.8, 4)) * 0.5 + _noise(rng, s, (4, 0.8)) * 0.5 + _noise(rng, s, 5) * 0.4
    col = np.broadcast_to(rgb(a), (size, size, 3)).copy()
    if b is not None and bands:
        y = (np.arange(size)[:, None] + 6 * _noise(rng, s, 4)) / size * bands
        col = np.where(((y % 1) > 0.5)[..., None], rgb(b), col)
    col = col * (1 + 0.16 * f)[..., None]
    return np.clip(col, 0, 1), np.clip(0.5 + 0.18 * f, 0, 1)


def knit(seed, a, b, stitch=(15, 13), band=9, size=1024):
    """Stocking stitch: columns of slanted loops; v in bands of two colours. Repeats at the edges only nearly."""
    rng = np.random.default_rng(seed)
    y, x = np.mgrid[0:size, 0:size].astype(float)
    x += _noise(rng, (size, size), 24) * 1.5
    y += _noise(rng, (size, size), 24) * 1.5
    w, h = stitch
    col, u = np.floor(x / w), x / w - np.floor(x / w) - 0.5
    yy = y / h + np.abs(u) * 1.3
    row, v = np.floor(yy), yy - np.floor(yy) - 0.5
    hgt = np.sqrt(np.clip(1 - (v * 1.9) ** 2, 0, 1)) * np.sqrt(np.clip(1 - (np.abs(np.abs(u) - 0.25) * 3.4) ** 2, 0, 1))
    n = size // min(stitch) + 6
    tone = rng.standard_normal((n, n))[row.astype(int) % n, col.astype(int) % n]
    pick = (row.astype(int) // band) % 2 == 0
    f = _noise(rng, (size, size), (0.8, 2.5))
    out = np.where(pick[..., None], rgb(a), rgb(b)) * (1 + 0.13 * tone + 0.07 * f)[..., None] * (0.45 + 0.6 * hgt)[..., None]
    fleck = rng.random((n, n))[row.astype(int) % n, col.astype(int) % n] > 0.93
    out = np.where(fleck[..., None], rgb("#efe6d2") * (0.5 + 0.55 * hgt)[..., None], out)
    return np.clip(out, 0, 1), np.clip(hgt + 0.06 * f, 0, 1)


def kraft(seed, base="#a9814f", size=1024):
    """Brown wrapping paper: fibres, creases, stains."""
    rng = np.random.default_rng(seed)
    s = (size, size)
    t = 0.10 * _noise(rng, s, (0.8, 5)) + 0.07 * _noise(rng, s, (5, 0.8)) + 0.06 * _noise(rng, s, 40) + 0.06 * _noise(rng, s, 4)
    crease = np.exp(-np.abs(_noise(rng, s, 60)) * 26)
    col = np.broadcast_to(rgb(base), (size, size, 3)) * (1 + t + 0.14 * crease)[..., None]
    return np.clip(col, 0, 1), np.clip(0.5 + t + 0.2 * crease, 0, 1)


def save(folder, name, pair):
    """Write name_c.png (sRGB) and name_h.png (height)."""
    a, h = pair
    # no finer than about half a picture pixel: what a pixel can't show would only be render noise
    s = 0.9 if name in ("planks", "oak", "pine", "dark", "comb") or name.startswith("label") else 1.7
    if name not in ("eye",):
        a, h = gaussian_filter(a, (s, s, 0), mode="wrap"), gaussian_filter(h, s, mode="wrap")
    Image.fromarray((a * 255 + 0.5).astype(np.uint8)).save(os.path.join(folder, name + "_c.png"))
    Image.fromarray((h * 255 + 0.5).astype(np.uint8)).save(os.path.join(folder, name + "_h.png"))


def paint_all(folder):
    """Every texture of the honey shed, of Oda and of Quill."""
    os.makedirs(folder, exist_ok=True)
    jobs = {
        "cardigan": lambda: weave(11, "#2f7378", "#215a66", period=12, twill=True,
                                  flecks=("#d9b45a", "#b9d3cc", "#16333f", "#b4604a"), fleck_share=0.13, uneven=0.12),
        "cuff": lambda: weave(12, "#d59a36", "#b97c22", period=13, uneven=0.14, flecks=("#f2cf86", "#7c4a14"), fleck_share=0.08),
        "linen": lambda: weave(13, "#dccdb0", "#cbb897", period=11, uneven=0.11, flecks=("#8a7554", "#f6ecd6"), fleck_share=0.09,
                               stripe=lambda k, w: "#a8392e" if (not w and k % 46 in (20, 21, 22, 25)) else None),
        "scarf": lambda: dotted(14, "#b23a2c", "#f3e2c4"),
        "gingham": lambda: gingham(15, "#efe4cf", "#b5402f"),
        "gingham2": lambda: gingham(16, "#efe6cf", "#39658a"),
        "veil": lambda: weave(17, "#e9e2cf", "#d8ceb4", period=10, size=1024, uneven=0.12, flecks=("#a4987c",), fleck_share=0.06),
        "ribbon": lambda: weave(18, "#39608a", "#2b4a72", period=8, size=1024, uneven=0.10, flecks=("#8fb0d0",), fleck_share=0.06),
        "hair": lambda: yarn(19, "#dcd6cc", "#7d746c"),
        "planks": lambda: wood(21, "#a98763", "#4d3422", contrast=1.15, pale="#8f9a86"),
        "oak": lambda: wood(22, "#c6955a", "#6b4120", contrast=1.15),
        "pine": lambda: wood(23, "#e0b67c", "#9c6a34", contrast=1.0, rings=9),
        "dark": lambda: wood(24, "#7d5836", "#36220f", contrast=1.1),
        "skin": lambda: skin(31),
        "straw": lambda: straw(32),
        "comb": lambda: comb(33),
        "label1": lambda: paper_label(34, "HONEY", "of the lower meadow"),
        "label2": lambda: paper_label(35, "LINDEN", "spring, jar 7"),
        "label3": lambda: paper_label(36, "HEATHER", "late, jar 12"),
        "tin": lambda: tin(37),
        "honey": lambda: honey(38),
        "eye": lambda: eye(39),
        "leather": lambda: skin(40, "#7b3f22", "#54270f", "#96582f", "#3a1b0a"),
        "bee": lambda: felt(41, "#e7a92b", "#3a2718", bands=4),
        "feltgrey": lambda: felt(42, "#d8d3c6"),
        "twine": lambda: yarn(43, "#c9a76c", "#6f5227", period=24),
        "rose": lambda: skin(44, "#b5564b", "#8f3a35", "#c97a6a", "#7d302c"),
        "herringbone": lambda: weave(51, "#a4532f", "#7d3b24", period=11, twill=True, flecks=("#e2b35e", "#d9cdb2", "#3f4a35", "#2b1710"), fleck_share=0.14, uneven=0.14),
        "shirting": lambda: weave(52, "#e9e4d6", "#d6d2c6", period=9, size=1024, uneven=0.08, stripe=lambda k, w: "#4c6a8e" if (w and k % 6 == 0) else None),
        "knit": lambda: knit(53, "#3c5a74", "#c9a043"),
        "skinruddy": lambda: skin(54, "#d99b7b", "#bd6450", "#edbf9f", "#7d452d"),
        "gingeryarn": lambda: yarn(55, "#d07a34", "#6d3413"),
        "postlabel": lambda: paper_label(56, "POST", "for the honey shed"),
        "kraft": lambda: kraft(57),
    }
    for name, f in jobs.items():
        if not os.path.exists(os.path.join(folder, name + "_h.png")):
            save(folder, name, f())


if __name__ == "__main__":
    from places import PIECES
    paint_all(os.path.join(PIECES, "textures"))
