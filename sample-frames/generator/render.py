"""Blender side: renders the pieces of a shot as 32-bit OpenEXR, and writes down its geometry.

    blender -b -P render.py -- JOB [options]
Jobs:
    preview   one quick picture (--frame N --samples 16 --rect x0,y0,x1,y1)
    plate     the whole picture without the right arm, before and after the knock
    rects     per frame, the rectangles in which an arm is: silhouettes beside them
    shade     small pictures with the same seed, with and without the arm: what its shadow does to the rest
    geometry  who is at each pixel and where on the surface: for outlines and truth

Pictures are rendered at twice the size and averaged down: far less noise for the same work.
The key lamp and the other lamps are rendered apart, for the same reason, and added in linear light.
Intermediates go to PIECES/<shot>/ (places.py).
"""
import argparse
import json
import os
import sys
import bpy
import numpy as np
from mathutils import Matrix, Vector

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, HERE)
import puppet_oda as puppet            # noqa: E402
from places import PIECES              # noqa: E402
import set_honey_shed as stage         # noqa: E402
import shot_hive_010 as shot           # noqa: E402

OUT = os.path.join(PIECES, shot.NAME)


def prepare(samples):
    bpy.ops.wm.read_factory_settings(use_empty=True)
    sc = bpy.context.scene
    stage.build()
    puppet.build()
    stage.lamps()
    cam = bpy.data.cameras.new("camera")
    ob = bpy.data.objects.new("camera", cam)
    sc.collection.objects.link(ob)
    M = Matrix.Identity(4)
    for i in range(3):
        M[i][0], M[i][1], M[i][2], M[i][3] = shot.RIGHT[i], shot.UP[i], -shot.FORWARD[i], shot.EYE[i]
    ob.matrix_world = M
    cam.lens, cam.sensor_width, cam.sensor_fit = shot.LENS, shot.SENSOR, "HORIZONTAL"
    cam.clip_start, cam.clip_end = 1, 500
    cam.dof.use_dof, cam.dof.focus_distance = True, shot.FOCUS
    # true size: aperture is LENS / FSTOP in mm; the scene's unit is 1 cm where Blender thinks 1 m
    cam.dof.aperture_fstop = shot.FSTOP / 100.0
    cam.dof.aperture_blades = 7
    sc.camera = ob
    r = sc.render
    r.engine = "CYCLES"
    r.resolution_x, r.resolution_y, r.resolution_percentage = shot.WIDTH, shot.HEIGHT, 100
    r.use_persistent_data = True
    r.image_settings.file_format, r.image_settings.color_mode, r.image_settings.color_depth = "OPEN_EXR", "RGB", "32"
    r.image_settings.exr_codec = "ZIP"
    r.threads_mode, r.threads = "FIXED", int(os.environ.get("HOLDFAST_THREADS", "2"))
    c = sc.cycles
    c.device, c.samples, c.use_adaptive_sampling, c.use_denoising = "CPU", samples, False, False
    c.max_bounces, c.diffuse_bounces, c.glossy_bounces, c.transmission_bounces = 2, 1, 1, 0
    c.caustics_reflective = c.caustics_refractive = False
    c.sample_clamp_direct, c.sample_clamp_indirect = 4.0, 0.8
    c.blur_glossy = 1.0
    c.pixel_filter_type, c.filter_width = "BLACKMAN_HARRIS", 1.5
    # ambient light: one bounce, then open-sky light
    c.use_fast_gi, c.fast_gi_method, c.ao_bounces_render = True, "REPLACE", 1
    sc.world.light_settings.distance = 8
    sc.view_settings.view_transform = "Standard"
    return sc


def set_pose(frame, variant, sag):
    """Put every object on its bone. Returns the bones as float64 matrices."""
    B = puppet.bones(shot.pose(frame, variant, sag))
    for ob in bpy.data.objects:
        b = ob.get("bone")
        if b:
            ob.matrix_world = Matrix(B[b].tolist())
    bpy.context.view_layer.update()
    return B


def set_shift(sc, px):
    cam = sc.camera.data
    cam.shift_x, cam.shift_y = -px[0] / shot.WIDTH, px[1] / shot.WIDTH


def sag_angle():
    """Angle at the last frame that moves the farthest point of the hand by SAG_PX."""
    B = puppet.bones(shot.pose(1, shot.NAME, 0.0))
    pts = np.vstack([world_verts(o, B) for o in bpy.data.objects if o.type == "MESH" and o.get("part") == "hand-left"])
    lo, hi = 0.0, 0.05
    for _ in range(60):
        mid = (lo + hi) / 2
        G = puppet.bones(shot.pose(shot.FRAMES[-1], shot.NAME, mid))["hand-left"] @ np.linalg.inv(B["hand-left"])
        q = pts @ G[:3, :3].T + G[:3, 3]
        d = np.linalg.norm(shot.project(q) - shot.project(pts), axis=1).max()
        lo, hi = (mid, hi) if d < shot.SAG_PX else (lo, mid)
    return sag_sign(pts, B) * lo


def sag_sign(pts, B):
    G = puppet.bones(shot.pose(shot.FRAMES[-1], shot.NAME, 0.001))["hand-left"] @ np.linalg.inv(B["hand-left"])
    q = pts @ G[:3, :3].T + G[:3, 3]
    return 1.0 if (shot.project(q) - shot.project(pts))[:, 1].mean() > 0 else -1.0


def world_verts(ob, B):
    co = np.empty(len(ob.data.vertices) * 3)
    ob.data.vertices.foreach_get("co", co)
    M = B[ob["bone"]] if ob.get("bone") else np.eye(4)
    return co.reshape(-1, 3) @ M[:3, :3].T + M[:3, 3]


LAMPS = {"key": ("key",), "rest": ("fill", "rim"), "all": ("key", "fill", "rim")}


def light(which):
    """Switch lamps: "key" has the ambient light and everything that glows, "rest" only its lamps."""
    for o in bpy.data.objects:
        if o.type == "LIGHT":
            o.hide_render = o.name not in LAMPS[which]
    glow = which != "rest"
    bg = bpy.context.scene.world.node_tree.nodes["Background"]
    bg.inputs[1].default_value = AMBIENT if glow else 0.0
    for m in bpy.data.materials:
        for n in m.node_tree.nodes if m.use_nodes else ():
            if n.type == "EMISSION":
                n.mute = not glow
            if n.type == "BSDF_PRINCIPLED":
                if "glow" not in m:
                    m["glow"] = n.inputs["Emission Strength"].default_value
                n.inputs["Emission Strength"].default_value = m["glow"] if glow else 0.0


def show(side, on):
    for o in bpy.data.objects:
        if o.get("bone") in shot.MOVING[side]:
            o.hide_render = not on


def render(sc, path, seed, rect=None):
    """rect in px of the finished picture."""
    sc.cycles.seed = seed
    r = sc.render
    r.use_border = r.use_crop_to_border = rect is not None
    if rect is not None:
        x0, y0, x1, y1 = rect
        e = 0.01
        r.border_min_x, r.border_max_x = (x0 + e) / shot.WIDTH, (x1 + e) / shot.WIDTH
        r.border_min_y, r.border_max_y = 1 - (y1 - e) / shot.HEIGHT, 1 - (y0 - e) / shot.HEIGHT
    r.filepath = path
    bpy.ops.render.render(write_still=True)


def beauty(sc, path, seed, samples, rect=None):
    """Two renders: <path>_key_pN.exr and <path>_rest_pN.exr. Passes with other seeds are averaged by develop.py."""
    for which, share, k in (("key", 1.0, 0), ("rest", 0.6, 1)):
        light(which)
        sc.cycles.samples = max(2, int(round(samples * share)))
        name = "%s_%s_p%d.exr" % (path, which, PASS)
        if not os.path.exists(name):
            render(sc, name, seed * 2 + k + 100000 * PASS, rect)


def moving_rect(side, B, margin=12):
    pts = np.vstack([world_verts(o, B) for o in bpy.data.objects if o.type == "MESH" and o.get("bone") in shot.MOVING[side]])
    q = shot.project(pts)
    lo, hi = np.floor(q.min(0) - margin).astype(int), np.ceil(q.max(0) + margin).astype(int)
    return [max(lo[0], 0), max(lo[1], 0), min(hi[0], shot.WIDTH), min(hi[1], shot.HEIGHT)]


def silhouette(side, B, rect):
    """Where the moving meshes are in the picture: their projected faces, filled."""
    import cv2
    x0, y0, x1, y1 = rect
    m = np.zeros((y1 - y0, x1 - x0), np.uint8)
    for o in bpy.data.objects:
        if o.type == "MESH" and o.get("bone") in shot.MOVING[side]:
            q = shot.project(world_verts(o, B)) - (x0 + 0.5, y0 + 0.5)
            q = np.round(q * 16).astype(np.int32)
            for f in o.data.polygons:
                cv2.fillConvexPoly(m, q[list(f.vertices)], 1, shift=4)
    return m > 0


def note(side, B, frame, rect):
    """Rectangle and silhouette of a piece, for develop.py."""
    path = os.path.join(OUT, "%s_%04d.npz" % (side, frame))
    if not os.path.exists(path):
        np.savez(path, rect=rect, mask=silhouette(side, B, rect))


# ---------------------------------------------------------------- geometry
class Look:
    """All meshes in one tree, to ask what stands at a pixel: without depth of field and without the knock."""

    def __init__(self, B):
        from mathutils.bvhtree import BVHTree
        verts, faces, self.owner, base = [], [], [], 0
        self.parts, self.bones = [], []
        for k, o in enumerate(o for o in bpy.data.objects if o.type == "MESH"):
            verts.append(world_verts(o, B))
            faces += [[base + i for i in f.vertices] for f in o.data.polygons]
            self.owner += [k] * len(o.data.polygons)
            self.parts.append(o.get("part", ""))
            self.bones.append(o.get("bone", ""))
            base += len(o.data.vertices)
        self.tree = BVHTree.FromPolygons(np.vstack(verts).tolist(), faces)

    def rect(self, x0, y0, x1, y1):
        """Part id, bone and hit point at each pixel centre of a rectangle."""
        k = shot.LENS / shot.SENSOR * shot.WIDTH
        ids = np.zeros((y1 - y0, x1 - x0), "U24")
        bns, pts = ids.copy(), np.zeros((y1 - y0, x1 - x0, 3))
        eye = Vector(shot.EYE)
        for y in range(y0, y1):
            for x in range(x0, x1):
                d = shot.FORWARD + shot.RIGHT * ((x + 0.5 - shot.WIDTH / 2) / k) - shot.UP * ((y + 0.5 - shot.HEIGHT / 2) / k)
                loc, _n, i, _d = self.tree.ray_cast(eye, Vector(d))
                if loc is not None:
                    o = self.owner[i]
                    ids[y - y0, x - x0], bns[y - y0, x - x0] = self.parts[o], self.bones[o]
                    pts[y - y0, x - x0] = loc
        return ids, bns, pts


def geometry():
    sag = sag_angle()
    B1 = set_pose(1, shot.NAME, sag)
    ids, bns, pts = Look(B1).rect(0, 0, shot.WIDTH, shot.HEIGHT)
    keep = {"ids1": ids, "bones1": bns, "points1": pts}
    r1 = moving_rect("right", B1)
    for f in shot.OUTLINE_KEYS[1:]:
        # the right arm elsewhere: a rectangle that holds it at frame 1 and at this frame
        B = set_pose(f, "hive_010_true", 0.0)
        r2 = moving_rect("right", B)
        x0, y0, x1, y1 = min(r1[0], r2[0]), min(r1[1], r2[1]), max(r1[2], r2[2]), max(r1[3], r2[3])
        full = ids.copy()
        full[y0:y1, x0:x1] = Look(B).rect(x0, y0, x1, y1)[0]
        keep["ids%d" % f] = full
    np.savez_compressed(os.path.join(OUT, "geometry.npz"), **keep)
    json.dump({"sag_radians": sag}, open(os.path.join(OUT, "sag.json"), "w"))


def main():
    global AMBIENT, PASS
    ap = argparse.ArgumentParser()
    ap.add_argument("job")
    ap.add_argument("--samples", type=int, default=16, help="per pixel of the doubled picture; four times that per finished pixel")
    ap.add_argument("--frame", type=int, default=1)
    ap.add_argument("--pass", dest="number", type=int, default=0, help="another pass of the same pieces, with other seeds")
    ap.add_argument("--sides", default="right,left", help="which arms to render")
    ap.add_argument("--rect", type=str, default="")
    ap.add_argument("--frames", type=str, default="")
    a = ap.parse_args(sys.argv[sys.argv.index("--") + 1:])
    os.makedirs(OUT, exist_ok=True)
    PASS = a.number
    sc = prepare(a.samples)
    AMBIENT = sc.world.node_tree.nodes["Background"].inputs[1].default_value
    frames = [int(x) for x in a.frames.split(",")] if a.frames else shot.FRAMES
    if a.job == "preview":
        set_pose(a.frame, shot.NAME, 0.0)
        sc.render.image_settings.file_format = "PNG"
        sc.render.image_settings.color_depth = "8"
        render(sc, os.path.join(PIECES, "preview_%02d.png" % a.frame), 1, tuple(int(v) for v in a.rect.split(",")) if a.rect else None)
        return
    if a.job == "geometry":
        geometry()
        return
    sag = sag_angle()
    if a.job == "plate":
        sc.render.resolution_percentage = 200
        set_pose(1, shot.NAME, 0.0)
        show("right", False)
        for tag, px in (("a", (0, 0)), ("b", shot.KNOCK)):
            set_shift(sc, px)
            beauty(sc, os.path.join(OUT, "plate_" + tag), 5000 + (tag == "b"), a.samples)
    elif a.job == "rects":
        sc.render.resolution_percentage = 200
        for f in frames:
            tag = "b" if f >= shot.KNOCK_AT else "a"
            # the right arm: the twin has it without the knock, the shot with it
            B = set_pose(f, "hive_010_true", 0.0)
            rect = moving_rect("right", B)
            note("right", B, f, rect)
            set_shift(sc, (0, 0))
            if "right" in a.sides:
                beauty(sc, os.path.join(OUT, "right_a_%04d" % f), 100 + f, a.samples, rect)
            if tag == "b" and "right" in a.sides:
                set_shift(sc, shot.KNOCK)
                beauty(sc, os.path.join(OUT, "right_b_%04d" % f), 200 + f, a.samples, rect)
            # the left arm, for the shot only
            if "left" not in a.sides:
                continue
            B = set_pose(f, shot.NAME, sag)
            rect = moving_rect("left", B)
            show("right", False)
            set_shift(sc, shot.knock(f, shot.NAME))
            note("left", B, f, rect)
            beauty(sc, os.path.join(OUT, "left_%s_%04d" % (tag, f)), 300 + f, a.samples, rect)
            show("right", True)
    elif a.job == "shade":
        sc.render.resolution_percentage = 25
        sc.cycles.samples = a.samples
        light("all")
        show("right", False)
        set_pose(1, shot.NAME, 0.0)
        render(sc, os.path.join(OUT, "shade_none.exr"), 7)
        set_pose(shot.FRAMES[-1], shot.NAME, sag)
        render(sc, os.path.join(OUT, "shade_sag.exr"), 7)
        show("right", True)
        for f in frames:
            set_pose(f, "hive_010_true", 0.0)
            render(sc, os.path.join(OUT, "shade_%04d.exr" % f), 7)


main()
