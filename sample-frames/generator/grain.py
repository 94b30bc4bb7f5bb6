"""Takes the grain of few render samples out of what is out of focus, where a real lens could not have drawn it.

A point out of focus becomes a disc. What is much finer than the disc can't be in the light behind the lens, so it is the
renderer's noise, and the same in every frame, as no sensor's noise is. It is smoothed away with a Gaussian of a fifth of
the disc's diameter, which widens the disc by little and leaves what is in focus as it is.
"""
import os
import cv2
import numpy as np
import pieces_io as io

SHARE = 0.2                                  # sigma over the disc's diameter
LEAST, STEP = 0.35, 0.1                      # px: smaller sigmas do nothing; sigmas are rounded to steps
RIM = 2                                      # px beside something sharper that are left as they are


def without_grain(scene, im, scale):
    """im: the base in linear light at finished size; scale: finished px for a px of the scene's lens."""
    z = np.load(os.path.join(io.folder(scene), "geometry.npz"))
    size = im.shape[1], im.shape[0]
    depth = scene.LENS.depth(z["points1"].reshape(-1, 3)).reshape(z["ids1"].shape)
    sigma = SHARE * scale * np.abs(scene.LENS.circle(depth, scene.LENS.focus)).astype(np.float32)
    # behind the layers nobody asked for the depth: as beside them
    layers = np.isin(z["bones1"], [b for bones, _ in scene.LAYERS.values() for b in bones])
    _, near = cv2.distanceTransformWithLabels(layers.astype(np.uint8), cv2.DIST_L2, 5, labelType=cv2.DIST_LABEL_PIXEL)
    beside = np.zeros(near.max() + 1, np.float32)
    beside[near[~layers]] = sigma[~layers]
    sigma = cv2.resize(cv2.medianBlur(beside[near], 3), size, interpolation=cv2.INTER_NEAREST)
    level = np.round(sigma / STEP).astype(int)
    out = im.copy()
    ring = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * RIM + 1,) * 2)
    for k in range(int(np.ceil(LEAST / STEP)), level.max() + 1):
        here = level == k
        if not here.any():
            continue
        use = (cv2.dilate((sigma < 0.6 * k * STEP).astype(np.uint8), ring) == 0).astype(np.float32)
        blur = lambda a: cv2.GaussianBlur(a, (0, 0), k * STEP)      # noqa: E731
        weight = np.maximum(blur(use), 1e-3)
        here &= use > 0
        out[here] = (blur((im * use[..., None]).astype(np.float32)) / weight[..., None])[here]
    return out
