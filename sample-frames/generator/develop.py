"""Puts the rendered pieces together and develops them like a camera: light, noise, sRGB, JPEG with EXIF.

    python3 develop.py [variant ...]
Everything up to the sRGB curve is linear light in 32-bit float.
"""
import datetime
import json
import os
import sys
os.environ["OPENCV_IO_ENABLE_OPENEXR"] = "1"
import cv2                                  # noqa: E402
import numpy as np                          # noqa: E402
from PIL import Image                       # noqa: E402
import places                               # noqa: E402
import shot_hive_010 as shot                # noqa: E402
from places import TARGET                   # noqa: E402

PIECES = os.path.join(places.PIECES, shot.NAME)
EXPOSURE = 0.86
QUALITY = 89
# sensor: variance = PHOTON * signal + READ**2, in linear light where 1 is white
PHOTON, READ = 1.05e-4, 0.0008
FLICKER = 0.005                             # rms of the gain from frame to frame
VIGNETTE = 0.06
# px outside a silhouette: rendered piece up to here, plate from there; the plate has the left arm at rest, up to 2 px away
FEATHER = {"right": (1.5, 3.5), "left": (3.5, 6.0)}


def exr(name):
    im = cv2.imread(os.path.join(PIECES, name + ".exr"), cv2.IMREAD_UNCHANGED)
    if im is None:
        raise FileNotFoundError(name)
    return im[..., ::-1].astype(np.float64)


def passes(name, which="rest"):
    n = 0
    while os.path.exists(os.path.join(PIECES, "%s_%s_p%d.exr" % (name, which, n))):
        n += 1
    return n


def beauty(name, only=None):
    """Passes averaged, key and other lamps added, four rendered pixels made one."""
    total = 0
    for which in ("key", "rest"):
        use = range(passes(name, which)) if only is None else [only]
        total = total + sum(exr("%s_%s_p%d" % (name, which, k)) for k in use) / len(use)
    h, w = total.shape[0] // 2, total.shape[1] // 2
    return total.reshape(h, 2, w, 2, 3).mean((1, 3))


def srgb(x):
    x = np.clip(x, 0, 1)
    return np.where(x <= 0.0031308, 12.92 * x, 1.055 * x ** (1 / 2.4) - 0.055)


def cover(mask, side):
    """1 on the silhouette and close to it, falling to 0."""
    d = cv2.distanceTransform((~mask).astype(np.uint8), cv2.DIST_L2, 5)
    near, far = FEATHER[side]
    return np.clip((far - d) / (far - near), 0, 1)


def piece(side, frame):
    z = np.load(os.path.join(PIECES, "%s_%04d.npz" % (side, frame)))
    x0, y0, x1, y1 = (int(v) for v in z["rect"])
    full = np.zeros((shot.HEIGHT, shot.WIDTH), bool)
    full[y0:y1, x0:x1] = z["mask"]
    return (slice(y0, y1), slice(x0, x1)), full


def small(mask):
    h, w = mask.shape
    return mask.reshape(h // 4, 4, w // 4, 4).any((1, 3))


def shading(frame, variant, none, sag):
    """How much darker or lighter the still parts get by the arms' shadows, against the plate."""
    now = exr("shade_%04d" % frame)
    hide = cv2.dilate(small(piece("right", frame)[1]).astype(np.uint8), np.ones((3, 3))) > 0
    r = np.log((now + 1e-4) / (none + 1e-4))
    ok = (~hide).astype(float)
    share = shot.sag_share(frame, variant)
    out = []
    arm = cv2.dilate(small(piece("left", 1)[1] | piece("left", shot.FRAMES[-1])[1]).astype(np.uint8), np.ones((3, 3))) > 0
    q = np.log((sag + 1e-4) / (none + 1e-4))
    okq = (~arm).astype(float)
    for c in range(3):
        a = cv2.GaussianBlur(np.clip(r[..., c], -2, 1) * ok, (0, 0), 1.4) / np.maximum(cv2.GaussianBlur(ok, (0, 0), 1.4), 1e-3)
        if share:
            a = a + share * cv2.GaussianBlur(np.clip(q[..., c], -0.3, 0.3) * okq, (0, 0), 2.5) / np.maximum(cv2.GaussianBlur(okq, (0, 0), 2.5), 1e-3)
        a = np.where(np.abs(a) < 2e-4, 0, a)
        out.append(cv2.resize(a, (shot.WIDTH, shot.HEIGHT), interpolation=cv2.INTER_CUBIC))
    return np.exp(np.stack(out, -1))


def slope(lin):
    """d sRGB / d linear, for noise in grey levels."""
    return np.where(lin <= 0.0031308, 12.92, 0.4396 * np.maximum(lin, 1e-4) ** (1 / 2.4 - 1))


def render_noise(side, frames, tag):
    """Render noise of one pass over the sensor's noise (variance), from frames with the same pose."""
    ims, masks = [], []
    for f in frames:
        sl, m = piece(side, f)
        ims.append(beauty("%s_%s_%04d" % (side, tag, f), only=0) * EXPOSURE)
        masks.append(m[sl])
    if len({im.shape for im in ims}) != 1:
        return 0.0
    v = np.var(np.stack(ims), axis=0, ddof=1)[masks[0]]
    m = np.mean(np.stack(ims), axis=0)[masks[0]]
    keep = (m < 0.9) & (m > 0.003)
    return float(np.median(v[keep] / (PHOTON * m[keep] + READ ** 2)) * 1.27)   # median of a chi-square with few degrees


def times(variant):
    rng = np.random.default_rng(shot.VARIANTS[variant]["seed"] + 7)
    t = datetime.datetime.fromisoformat(shot.START)
    out = {}
    for f in shot.FRAMES:
        out[f] = t
        t += datetime.timedelta(minutes=shot.LUNCH_MINUTES) if f == shot.LUNCH_AFTER else datetime.timedelta(seconds=int(rng.integers(118, 186)))
    return out


def develop(variant):
    v = shot.VARIANTS[variant]
    rng = np.random.default_rng(v["seed"])
    folder = os.path.join(TARGET, variant)
    os.makedirs(folder, exist_ok=True)
    plates = {t: beauty("plate_" + t) for t in "ab"}
    none, sag = exr("shade_none"), exr("shade_sag")
    rho = {"right": render_noise("right", (12, 13, 14), "a"), "left": render_noise("left", [f for f in (1, 2, 3, 4, 5, 6)], "a")}
    print(variant, "render noise over sensor noise, variance:", rho)
    y, x = (np.mgrid[0:shot.HEIGHT, 0:shot.WIDTH] + 0.5)
    r2 = ((x - shot.WIDTH / 2) ** 2 + (y - shot.HEIGHT / 2) ** 2) / ((shot.WIDTH / 2) ** 2 + (shot.HEIGHT / 2) ** 2)
    fall = (1 - VIGNETTE * r2 ** 1.2)[..., None]
    gains = 1 + np.clip(FLICKER * rng.standard_normal(len(shot.FRAMES)), -0.0115, 0.0115)
    when = times(variant)
    total = 0
    for f in shot.FRAMES:
        tag = "b" if shot.knock(f, variant).any() else "a"
        im = plates[tag] * shading(f, variant, none, sag)
        fresh = np.zeros(im.shape[:2])
        for side in ("left", "right"):
            if side == "left" and not v["sag"]:
                continue
            sl, mask = piece(side, f)
            a = cover(mask, side)[sl][..., None]
            name = "%s_%s_%04d" % (side, tag, f)
            im[sl] = im[sl] * (1 - a) + beauty(name) * a
            fresh[sl] = np.maximum(fresh[sl], rho[side] / passes(name) * a[..., 0])
        lin = im * EXPOSURE * fall * gains[f - 1]
        var = (PHOTON * np.clip(lin, 0, 1.5) + READ ** 2) * np.maximum(1 - fresh, 0.05)[..., None]
        lin = lin + rng.standard_normal(lin.shape) * np.sqrt(var)
        px = np.clip(np.round(srgb(lin) * 255), 0, 255).astype(np.uint8)
        ex = Image.Exif()
        stamp = when[f].strftime("%Y:%m:%d %H:%M:%S")
        ex[0x0132] = stamp
        ex[0x0131] = "Holdfast sample generator"
        ex[0x8298] = "Apache-2.0"
        ex[0x8769] = {0x9003: stamp, 0x9004: stamp}
        path = os.path.join(folder, "%s_%04d.jpg" % (variant, f))
        Image.fromarray(px).save(path, "JPEG", quality=QUALITY, subsampling="4:2:0", optimize=True, exif=ex.tobytes())
        total += os.path.getsize(path)
    print(variant, "%.2f MB, gain rms %.4f" % (total / 1e6, gains.std()))


if __name__ == "__main__":
    for name in sys.argv[1:] or shot.VARIANTS:
        develop(name)
