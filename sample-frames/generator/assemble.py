"""Puts the pieces of hive_020, hive_030 and hive_040 together and develops them like a camera.

    python3 assemble.py SHOT [...]           --frames 1,12  for a look at some frames (PNG beside the pieces)
Everything up to the sRGB curve is linear light. What drifts by a few px and was rendered once is carried along: every
rendered px by its own projected displacement, sampled with a spline at two or three times the finished size.
"""
import argparse
import importlib
import os
import cv2
import numpy as np
from PIL import Image
from scipy.ndimage import map_coordinates, spline_filter
from scipy.spatial import cKDTree
from scipy.special import j1
import pieces_io as io
from grain import without_grain
from lens import apply
from places import TARGET

EXPOSURE = 0.86
# sensor: variance = PHOTON * signal + READ**2, in linear light where 1 is white
PHOTON, READ = 1.05e-4, 0.0008
VIGNETTE = 0.06


def srgb(x):
    x = np.clip(x, 0, 1)
    return np.where(x <= 0.0031308, 12.92 * x, 1.055 * x ** (1 / 2.4) - 0.055)


class Shot:
    def __init__(self, shot):
        self.shot, self.scene = shot, shot.scene
        self.block = int(round(self.scene.FINE / shot.SCALE))
        self.order = 3 if self.scene.FINE >= 3 else 5         # of the splines: finer pieces need less
        self.base, self.layers, self.splines, self.still = {}, {}, {}, {}
        self.B1 = shot.bones(1)
        self.meant1 = self.scene.bones(1)

    # ------------------------------------------------------------ pieces
    def base_at(self, weights):
        if weights not in self.base:
            im = io.down(io.picture(self.scene, "base", weights), self.block)[..., :3]
            self.base[weights] = without_grain(self.scene, im, self.shot.SCALE)
        return self.base[weights]

    def window(self, rect):
        s = self.shot.SCALE
        x0, y0, x1, y1 = (int(round(v * s)) for v in rect)
        return np.s_[y0:y1, x0:x1]

    def displacement(self, name, frame):
        """Where a once-rendered layer went since frame 1: dx, dy on its rectangle, in rendered px; None where it stayed."""
        bone, pts, ok, rect = io.layer_points(self.scene, name)
        L, B = self.shot.LENS, self.shot.bones(frame)
        after = getattr(self.shot, "after", lambda _b, p, _f: p)
        d = np.zeros((len(pts), 2))
        for b in np.unique(bone):
            m = bone == b
            p1 = after(b, pts[m], 1)
            p = after(b, apply(B[b] @ np.linalg.inv(self.B1[b]), pts[m]), frame)
            d[m] = L.project(p) - L.project(p1)
        if np.abs(d).max() < 1e-4:
            return None
        field = np.zeros(ok.shape + (2,))
        field[ok] = d
        # beyond the surface: as at the nearest point of it, and a little smoothed where depth jumps
        _, lab = cv2.distanceTransformWithLabels((~ok).astype(np.uint8), cv2.DIST_L2, 5, labelType=cv2.DIST_LABEL_PIXEL)
        near = np.zeros(lab.max() + 1, int)
        near[lab[ok]] = np.flatnonzero(ok.ravel())
        field = field.reshape(-1, 2)[near[lab]]
        field = cv2.GaussianBlur(field, (0, 0), 1.0)
        w, h = (rect[2] - rect[0]) * self.scene.FINE, (rect[3] - rect[1]) * self.scene.FINE
        return cv2.resize(field, (int(w), int(h)), interpolation=cv2.INTER_LINEAR) * self.scene.FINE

    def carried(self, name, weights, d):
        key = name, weights
        if key not in self.splines:
            im = io.picture(self.scene, name, weights)
            self.splines[key] = [spline_filter(im[..., c], order=self.order, output=np.float32) for c in range(4)]
        return self.sample(self.splines[key], d)

    def sample(self, spline, d):
        h, w = d.shape[:2]
        y, x = np.mgrid[0:h, 0:w].astype(np.float32)
        u = d.copy()
        for _ in range(3):           # the displacement is told where the material came from
            u = np.dstack([cv2.remap(np.ascontiguousarray(d[..., c]).astype(np.float32), (x - u[..., 0]).astype(np.float32), (y - u[..., 1]).astype(np.float32),
                                     cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE) for c in range(2)])
        at = [y - u[..., 1], x - u[..., 0]]
        out = np.dstack([map_coordinates(s, at, order=self.order, prefilter=False, mode="constant") for s in spline])
        out[..., 3] = np.clip(out[..., 3], 0, 1)
        return out

    def layer(self, name, frame, weights):
        """A layer at finished size, premultiplied, and its window in the picture."""
        if self.scene.LAYERS[name][1]:
            key = min(getattr(self.scene, "RENDERED", [frame]), key=lambda k: abs(k - frame))
            piece = "%s_%04d" % (name, key)
            rect = io.rect(self.scene, piece)
            im = io.picture(self.scene, piece, weights)
            d = self.animated(name, key, frame, rect)
            if d is not None:
                im = self.sample([spline_filter(im[..., c], order=self.order, output=np.float32) for c in range(4)], d)
            return io.down(im, self.block), self.window(rect)
        rect = io.rect(self.scene, name)
        d = self.displacement(name, frame)
        if d is None:
            key = name, weights
            if key not in self.still:
                self.still[key] = io.down(io.picture(self.scene, name, weights), self.block)
            return self.still[key], self.window(rect)
        return io.down(self.carried(name, weights, d), self.block), self.window(rect)

    def animated(self, name, key, frame, rect):
        """From an animated layer as it was rendered at one frame to what the shot has at another, in rendered px; None if it is the same."""
        L, now, then = self.shot.LENS, self.shot.bones(frame), self.scene.bones(key)
        if all(np.abs(now[b] - then[b]).max() < 1e-9 for b in self.scene.LAYERS[name][0]):
            return None
        bone, pts, _ok, _rect = io.layer_points(self.scene, name)
        q, d = np.zeros((len(pts), 2)), np.zeros((len(pts), 2))
        for b in np.unique(bone):
            m = bone == b
            local = apply(np.linalg.inv(self.meant1[b]), pts[m])
            q[m] = L.project(apply(then[b], local))
            d[m] = L.project(apply(now[b], local)) - q[m]
        x0, y0, x1, y1 = rect
        y, x = np.mgrid[y0 + 1:y1:2, x0 + 1:x1:2].astype(float)
        near = cKDTree(q).query(np.stack([x, y], -1), k=4)[1]
        field = cv2.GaussianBlur(d[near].mean(2), (0, 0), 1.0)
        w, h = (x1 - x0) * self.scene.FINE, (y1 - y0) * self.scene.FINE
        return cv2.resize(field, (int(w), int(h)), interpolation=cv2.INTER_LINEAR) * self.scene.FINE

    # ------------------------------------------------------------ light
    def ratio(self, now, none, sigma):
        r = np.log((now[..., :3] + 1e-4) / (none[..., :3] + 1e-4))
        r = np.dstack([cv2.GaussianBlur(np.clip(r[..., c], -2, 1), (0, 0), sigma) for c in range(3)])
        r[np.abs(r) < 2e-4] = 0
        return r

    def shading(self, frame):
        """What the animated layers' shadows do to what stands still; poses between the rendered ones are blended."""
        keys = sorted(self.scene.SHADE)
        a = max(k for k in keys if k <= frame)
        b = min(k for k in keys if k >= frame)
        none = io.exr(self.scene, "shade_none" if self.scene.ANIMATED else "shade_0001")
        r = self.ratio(io.exr(self.scene, "shade_%04d" % a), none, 1.2)
        if b != a:
            t = (frame - a) / (b - a)
            r = r * (1 - t) + t * self.ratio(io.exr(self.scene, "shade_%04d" % b), none, 1.2)
        if not np.any(r):
            return None
        return np.exp(cv2.resize(r, self.shot.SIZE, interpolation=cv2.INTER_CUBIC))

    def blocked(self, frame):
        if frame not in getattr(self.shot, "BLOCKED", {}):
            return None
        r = self.ratio(io.exr(self.scene, "blocked_%04d" % frame), io.exr(self.scene, "shade_none"), 1.5)
        return np.exp(cv2.resize(r, self.shot.SIZE, interpolation=cv2.INTER_CUBIC))

    # ------------------------------------------------------------ focus
    def depths(self, cover):
        """Depth of what is seen at each finished px, cm; cover: how much of it the animated layers hide at the frame."""
        z = np.load(os.path.join(io.folder(self.scene), "geometry.npz"))
        moving = [b for bones, every in self.scene.LAYERS.values() if every for b in bones]
        near = self.shot.LENS.depth(z["points1"].reshape(-1, 3)).reshape(z["ids1"].shape)
        arm = np.isin(z["bones1"], moving)
        # what the animated layers hide at frame 1 is seen at another, and the other way round
        still, moved = np.where(arm, np.nan, near), np.where(arm, near, np.nan)
        for k in self.scene.OUTLINE_KEYS[1:]:
            x0, y0, x1, y1 = z["rect%d" % k]
            d = self.shot.LENS.depth(z["points%d" % k].reshape(-1, 3)).reshape(y1 - y0, x1 - x0)
            arm = np.isin(z["bones%d" % k], moving)
            for all_of_them, here in ((still, ~arm), (moved, arm)):
                part = all_of_them[y0:y1, x0:x1]
                new = here & np.isnan(part)
                part[new] = d[new]
        still = np.where(np.isnan(still), moved, still)
        moved = np.where(np.isnan(moved), np.nanmedian(moved), moved)
        still, moved = (cv2.resize(cv2.medianBlur(d.astype(np.float32), 3), self.shot.SIZE, interpolation=cv2.INTER_NEAREST) for d in (still, moved))
        return np.where(cover > 0.5, moved, still)

    def refocus(self, im, frame, cover):
        """Adds the blur of a focus that crept, layer by layer of depth; what would get sharper stays as it is."""
        F = self.shot.focus(frame)
        if abs(F - self.shot.LENS.focus) < 1e-6:
            return im
        z = self.depths(cover)
        k = self.shot.SCALE
        was, now = self.shot.LENS.circle(z, self.shot.LENS.focus) * k, self.shot.LENS.circle(z, F) * k
        # variances of discs add: the radius of the disc that makes the one out of the other
        radius = np.sqrt(np.maximum(now ** 2 - was ** 2, 0)) / 2
        radius = cv2.GaussianBlur(radius, (0, 0), 1.0)
        step = 0.12
        level = radius / step
        spectrum = [np.fft.rfft2(np.pad(im[..., c], 16, mode="reflect")) for c in range(3)]
        out = np.zeros_like(im)
        for n in range(int(np.ceil(level.max())) + 1):
            w = np.clip(1 - np.abs(level - n), 0, 1)[..., None]
            if w.max() > 0:
                out += w * blurred(im, spectrum, n * step)
        return out

    def linear(self, frame):
        """The picture at a frame in linear light, and how much of each px was rendered for this frame alone."""
        weights = self.shot.lamps(frame)
        im = self.base_at(weights).astype(np.float64)
        s = self.shading(frame)
        if s is not None:
            im = im * s
        else:
            im = im.copy()
        fresh, cover = np.zeros(im.shape[:2]), np.zeros(im.shape[:2])
        for name, (_, every) in self.scene.LAYERS.items():
            layer, win = self.layer(name, frame, weights)
            a = layer[..., 3:]
            im[win] = layer[..., :3] + im[win] * (1 - a)
            if every:
                cover[win] = np.maximum(cover[win], a[..., 0])
            fresh[win] = fresh[win] * (1 - a[..., 0]) + (a[..., 0] if every and frame in getattr(self.scene, "RENDERED", [frame]) else 0)
        b = self.blocked(frame)
        if b is not None:
            im = im * b
        if hasattr(self.shot, "focus"):
            im = self.refocus(im, frame, cover)
        return im, fresh

    def render_noise(self):
        """Render noise of the layers that are rendered in every frame over the sensor's, variance; from poses that are the same."""
        same = getattr(self.scene, "SAME_POSE", None)
        if not same:
            return 0.0
        name, frames = same
        ims = [io.down(io.picture(self.scene, "%s_%04d" % (name, f)), self.block) for f in frames]
        h, w = min(i.shape[0] for i in ims), min(i.shape[1] for i in ims)
        ims = np.stack([i[:h, :w] for i in ims])
        solid = ims[..., 3].min(0) > 0.999
        v, m = np.var(ims[..., :3] * EXPOSURE, axis=0, ddof=1)[solid], np.mean(ims[..., :3] * EXPOSURE, axis=0)[solid]
        keep = (m < 0.9) & (m > 0.003)
        return float(np.median(v[keep] / (PHOTON * m[keep] + READ ** 2)) * {2: 2.198, 3: 1.443}[len(frames)])   # over the median of a chi-square


def blurred(im, spectrum, radius):
    """The picture through a disc: its transform is 2 J1(k r) / (k r), exact for any radius."""
    if radius == 0:
        return im
    h, w = im.shape[0] + 32, im.shape[1] + 32
    k = 2 * np.pi * radius * np.hypot(np.fft.fftfreq(h)[:, None], np.fft.rfftfreq(w)[None])
    through = np.where(k > 1e-9, 2 * j1(k) / np.maximum(k, 1e-9), 1.0)
    return np.dstack([np.fft.irfft2(one * through, s=(h, w)) for one in spectrum])[16:-16, 16:-16]


def develop(shot, frames, first=1, last=None):
    s = Shot(shot)
    rng = np.random.default_rng(shot.SEED)
    W, H = shot.SIZE
    y, x = np.mgrid[0:H, 0:W] + 0.5
    r2 = ((x - W / 2) ** 2 + (y - H / 2) ** 2) / ((W / 2) ** 2 + (H / 2) ** 2)
    fall = (1 - VIGNETTE * r2 ** 1.2)[..., None]
    gains = 1 + np.clip(shot.FLICKER * rng.standard_normal(len(shot.FRAMES)), -2.3 * shot.FLICKER, 2.3 * shot.FLICKER)
    rho = s.render_noise()
    when, taken = shot.times(), {}
    folder = os.path.join(TARGET, shot.NAME)
    os.makedirs(folder, exist_ok=True)
    for f in frames or [f for f in shot.FRAMES if first <= f <= (last or f)]:
        source = getattr(shot, "REPEAT", {}).get(f)
        if source in taken:
            px = taken[source]
        else:
            im, fresh = s.linear(f)
            lin = im * EXPOSURE * fall * gains[f - 1]
            cover = shot.fleck(f, W, H) if hasattr(shot, "fleck") else None
            if cover is not None:
                lin = lin * (1 - cover[..., None]) + cover[..., None] * np.array([0.62, 0.58, 0.50]) * gains[f - 1]
            noise = np.random.default_rng(shot.SEED * 100 + f)
            var = (PHOTON * np.clip(lin, 0, 1.5) + READ ** 2) * np.maximum(1 - rho * fresh, 0.05)[..., None]
            lin = lin + noise.standard_normal(lin.shape) * np.sqrt(var)
            px = np.clip(np.round(srgb(lin) * 255), 0, 255).astype(np.uint8)
        taken[f] = px
        if frames:
            Image.fromarray(px).save(os.path.join(io.folder(s.scene), "look_%s_%04d.png" % (shot.NAME, f)))
            continue
        ex = Image.Exif()
        stamp = when[f].strftime("%Y:%m:%d %H:%M:%S")
        ex[0x0132], ex[0x0131], ex[0x8298] = stamp, "Holdfast sample generator", "Apache-2.0"
        ex[0x8769] = {0x9003: stamp, 0x9004: stamp}
        path = os.path.join(folder, "%s_%04d.jpg" % (shot.NAME, f))
        Image.fromarray(px).save(path, "JPEG", quality=shot.QUALITY, subsampling="4:2:0", optimize=True, exif=ex.tobytes())
    total = sum(os.path.getsize(os.path.join(folder, n)) for n in os.listdir(folder) if n.endswith(".jpg"))
    print(shot.NAME, "%.2f MB of %d, gain rms %.4f, render noise over sensor noise %.2f" % (total / 1e6, shot.TARGET_MB, gains.std(), rho))
    if total > shot.TARGET_MB * 1e6:
        raise SystemExit("%s is too large" % shot.NAME)


if __name__ == "__main__":
    ap = argparse.ArgumentParser()
    ap.add_argument("shots", nargs="+")
    ap.add_argument("--frames", default="")
    ap.add_argument("--first", type=int, default=1, help="leaves the frames before this one as they are")
    ap.add_argument("--last", type=int, help="leaves the frames after this one as they are")
    a = ap.parse_args()
    for name in a.shots:
        develop(importlib.import_module("shot_" + name), [int(v) for v in a.frames.split(",")] if a.frames else None, a.first, a.last)
