"""Reads what pieces.py rendered."""
import json
import os
os.environ["OPENCV_IO_ENABLE_OPENEXR"] = "1"
import cv2                                  # noqa: E402
import numpy as np                          # noqa: E402
from places import PIECES                   # noqa: E402


def folder(scene):
    return os.path.join(PIECES, scene.NAME)


def exr(scene, name):
    im = cv2.imread(os.path.join(folder(scene), name + ".exr"), cv2.IMREAD_UNCHANGED)
    if im is None:
        raise FileNotFoundError(name)
    return im[..., [2, 1, 0, 3]] if im.shape[2] == 4 else im[..., ::-1]


def passes(scene, name, which):
    n = 0
    while os.path.exists(os.path.join(folder(scene), "%s_%s_p%d.exr" % (name, which, n))):
        n += 1
    return range(n)


def picture(scene, name, weights=(1.0, 1.0)):
    """Premultiplied RGBA at rendered size: passes averaged, key and other lamps added with their weights."""
    rgb, alpha, n = 0, 0, 0
    for which, w in zip(("key", "rest"), weights):
        use = passes(scene, name, which)
        for k in use:
            im = exr(scene, "%s_%s_p%d" % (name, which, k))
            rgb = rgb + im[..., :3] * np.float32(w / len(use))
            alpha, n = alpha + im[..., 3], n + 1
    return np.dstack([rgb, alpha / np.float32(n)]).astype(np.float32)


def rect(scene, name):
    return json.load(open(os.path.join(folder(scene), name + ".json")))


_points = {}


def layer_points(scene, name):
    """Bones and world points of a layer's surface at frame 1, where it has one; then the lattice they lie on."""
    if name not in _points:
        z = np.load(os.path.join(folder(scene), name + "_points.npz"))
        ok = z["bone"] != ""
        _points[name] = z["bone"][ok], z["points"][ok], ok, z["rect"]
    return _points[name]


def down(im, block):
    h, w = im.shape[0] // block, im.shape[1] // block
    return im.reshape(h, block, w, block, -1).mean((1, 3))
