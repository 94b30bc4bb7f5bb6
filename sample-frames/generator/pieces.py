"""Blender side of hive_020, hive_030 and hive_040: renders the pieces of a scene, and writes down its geometry.

    blender -b -P pieces.py -- SCENE JOB [options]         SCENE: bench or close
Jobs:
    preview   one quick picture (--frame N --percent 50 --samples 8)
    base      the whole picture without the layers, which still cast their shadows
    layers    each layer that is rendered once, cut out by what stands before it
    frames    each layer that is rendered in every frame, or in some of them (RENDERED), the same way
    shade     small pictures of what stands still, with the animated layers' shadows at some frames
    geometry  who is at each pixel and where on the surface: for outlines, truth and what is carried along

The key lamp (with the ambient light and all that glows) and the other lamps are rendered apart and added in linear light.
Layers have a transparent ground, premultiplied. Intermediates go to PIECES/<scene>/ (places.py).
"""
import argparse
import importlib
import json
import os
import sys
import bpy
import numpy as np
from mathutils import Matrix, Vector

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, HERE)
from places import PIECES, SMALLER     # noqa: E402
GROUPS = {"key": ("key",), "rest": ("fill", "rim"), "all": ("key", "fill", "rim")}


def prepare():
    bpy.ops.wm.read_factory_settings(use_empty=True)
    sc = bpy.context.scene
    scene.build()
    L = scene.LENS
    cam = bpy.data.cameras.new("camera")
    ob = bpy.data.objects.new("camera", cam)
    sc.collection.objects.link(ob)
    M = Matrix.Identity(4)
    for i in range(3):
        M[i][0], M[i][1], M[i][2], M[i][3] = L.right[i], L.up[i], -L.forward[i], L.eye[i]
    ob.matrix_world = M
    cam.lens, cam.sensor_width, cam.sensor_fit = L.millimetres, L.sensor, "HORIZONTAL"
    cam.clip_start, cam.clip_end = 1, 500
    cam.dof.use_dof, cam.dof.focus_distance = True, L.focus
    # the scene's unit is 1 cm where Blender thinks 1 m
    cam.dof.aperture_fstop, cam.dof.aperture_blades = L.fstop / 100.0, 7
    sc.camera = ob
    r = sc.render
    r.engine = "CYCLES"
    r.resolution_x, r.resolution_y, r.resolution_percentage = L.width, L.height, 100 * scene.FINE
    r.use_persistent_data = True
    r.image_settings.file_format, r.image_settings.color_mode, r.image_settings.color_depth = "OPEN_EXR", "RGBA", "32"
    r.image_settings.exr_codec = "ZIP"
    r.threads_mode, r.threads = "FIXED", int(os.environ.get("HOLDFAST_THREADS", "2"))
    c = sc.cycles
    c.device, c.use_adaptive_sampling, c.use_denoising = "CPU", False, False
    c.max_bounces, c.diffuse_bounces, c.glossy_bounces, c.transmission_bounces = 2, 1, 1, 0
    c.caustics_reflective = c.caustics_refractive = False
    c.sample_clamp_direct, c.sample_clamp_indirect, c.blur_glossy = 4.0, 0.8, 1.0
    c.pixel_filter_type, c.filter_width = "BLACKMAN_HARRIS", 1.5
    c.use_fast_gi, c.fast_gi_method, c.ao_bounces_render = True, "REPLACE", 1
    sc.world.light_settings.distance = 8
    sc.view_settings.view_transform = "Standard"
    return sc


def meshes():
    return [o for o in bpy.data.objects if o.type == "MESH"]


def in_layer(o, name):
    return o.get("bone", "") in scene.LAYERS[name][0]


def layer_of(o):
    return next((n for n in scene.LAYERS if in_layer(o, n)), None)


def rest_points(o):
    """Vertices in the bone's frame as they were modelled."""
    if o.name not in REST:
        co = np.empty(len(o.data.vertices) * 3)
        o.data.vertices.foreach_get("co", co)
        REST[o.name] = co.reshape(-1, 3).copy()
    return REST[o.name]


REST = {}


def bones(frame):
    return scene.bones(frame)


def deformed(o, frame):
    f = getattr(scene, "deform", None)
    p = rest_points(o)
    return f(o.get("bone", ""), p, frame) if f else p


def world_points(o, B, frame):
    M = B[o.get("bone", "")]
    return deformed(o, frame) @ M[:3, :3].T + M[:3, 3]


def set_pose(frame):
    B = bones(frame)
    w = scene.wears(frame) if hasattr(scene, "wears") else scene.WEARS
    for o in meshes():
        b = o.get("bone", "")
        if b:
            o.matrix_world = Matrix(B[b].tolist())
        p = deformed(o, frame)
        if p is not rest_points(o):
            o.data.vertices.foreach_set("co", p.ravel())
            o.data.update()
        o["worn"] = o.get("wears") in (None, w)
        o.hide_render = not o["worn"]
    bpy.context.view_layer.update()
    return B


def light(which):
    """Switch lamps: "key" has the ambient light and everything that glows, "rest" only its lamps."""
    for o in bpy.data.objects:
        if o.type == "LIGHT":
            o.hide_render = o.name not in GROUPS[which]
    glow = which != "rest"
    bg = bpy.context.scene.world.node_tree.nodes["Background"]
    if "full" not in bpy.context.scene:
        bpy.context.scene["full"] = bg.inputs[1].default_value
    bg.inputs[1].default_value = bpy.context.scene["full"] if glow else 0.0
    for m in bpy.data.materials:
        for n in m.node_tree.nodes if m.use_nodes else ():
            if n.type == "EMISSION":
                n.mute = not glow
            if n.type == "BSDF_PRINCIPLED":
                if "glow" not in m:
                    m["glow"] = n.inputs["Emission Strength"].default_value
                n.inputs["Emission Strength"].default_value = m["glow"] if glow else 0.0


def stage_for(layer):
    """What the lens sees: the base alone (None), or one layer cut out by the base and by what hides it in its own group."""
    bpy.context.scene.render.film_transparent = layer is not None
    order = list(scene.LAYERS)
    for o in meshes():
        own = layer_of(o)
        o.is_holdout, o.visible_camera = False, True
        animated = o.get("bone", "") in scene.ANIMATED
        o.hide_render = not o.get("worn", True)
        if layer is None:
            o.visible_camera = own is None
            if animated:
                o.hide_render = True
        elif own == layer:
            pass
        elif own is None:
            o.is_holdout = True
        elif layer == "cuff" and own == "arm":
            o.is_holdout = True
        else:
            o.visible_camera = False
            if animated and layer not in ("arm", "cuff"):
                o.hide_render = True
    return order


def rect_of(name, B, frame, margin=10):
    """Rectangle round a layer in px of the lens' picture, its corners on multiples of two."""
    pts = np.vstack([world_points(o, B, frame) for o in meshes() if in_layer(o, name) and o.get("worn", True)])
    q = scene.LENS.project(pts)
    lo = np.floor((q.min(0) - margin) / 2).astype(int) * 2
    hi = np.ceil((q.max(0) + margin) / 2).astype(int) * 2
    return [int(max(lo[0], 0)), int(max(lo[1], 0)), int(min(hi[0], scene.LENS.width)), int(min(hi[1], scene.LENS.height))]


def render(sc, path, seed, samples, rect=None):
    if os.path.exists(path):
        return
    sc.cycles.seed, sc.cycles.samples = seed, samples
    r = sc.render
    r.use_border = r.use_crop_to_border = rect is not None
    if rect is not None:
        x0, y0, x1, y1 = rect
        w, h, e = scene.LENS.width, scene.LENS.height, 0.01
        r.border_min_x, r.border_max_x = (x0 + e) / w, (x1 + e) / w
        r.border_min_y, r.border_max_y = 1 - (y1 - e) / h, 1 - (y0 - e) / h
    r.filepath = path + ".part.exr"
    bpy.ops.render.render(write_still=True)
    os.rename(path + ".part.exr", path)


def beauty(sc, name, seed, samples, rect=None):
    for k, which in enumerate(("key", "rest")):
        light(which)
        render(sc, os.path.join(OUT, "%s_%s_p%d.exr" % (name, which, PASS)), seed * 2 + k + 100000 * PASS, samples[k] if SMALLER == 1 else 1, rect)
    if rect is not None:
        json.dump(rect, open(os.path.join(OUT, name + ".json"), "w"))


# ---------------------------------------------------------------- geometry
class Look:
    """All meshes in one tree, to ask what stands at a pixel, without depth of field."""

    def __init__(self, B, frame):
        from mathutils.bvhtree import BVHTree
        verts, faces, self.owner, base = [], [], [], 0
        self.parts, self.bones = [], []
        for k, o in enumerate(o for o in meshes() if o.get("worn", True)):
            verts.append(world_points(o, B, frame))
            faces += [[base + i for i in f.vertices] for f in o.data.polygons]
            self.owner += [k] * len(o.data.polygons)
            self.parts.append(o.get("part", ""))
            self.bones.append(o.get("bone", ""))
            base += len(o.data.vertices)
        self.tree = BVHTree.FromPolygons(np.vstack(verts).tolist(), faces)

    def rect(self, x0, y0, x1, y1):
        """Part id, bone and hit point at each pixel centre of a rectangle."""
        ids = np.zeros((y1 - y0, x1 - x0), "U24")
        bns, pts = ids.copy(), np.zeros((y1 - y0, x1 - x0, 3))
        eye = Vector(scene.LENS.eye)
        for y in range(y0, y1):
            for x in range(x0, x1):
                loc, _n, i, _d = self.tree.ray_cast(eye, Vector(scene.LENS.ray(x + 0.5, y + 0.5)))
                if loc is not None:
                    o = self.owner[i]
                    ids[y - y0, x - x0], bns[y - y0, x - x0] = self.parts[o], self.bones[o]
                    pts[y - y0, x - x0] = loc
        return ids, bns, pts


def geometry():
    L = scene.LENS
    B1 = set_pose(1)
    ids, bns, pts = Look(B1, 1).rect(0, 0, L.width, L.height)
    keep = {"ids1": ids, "bones1": bns, "points1": pts}
    moving = [n for n, (_, every) in scene.LAYERS.items() if every]

    def around(B, f):
        r = [rect_of(n, B, f) for n in moving]
        return min(a[0] for a in r), min(a[1] for a in r), max(a[2] for a in r), max(a[3] for a in r)
    a = around(B1, 1)
    for f in getattr(scene, "GEOMETRY", scene.OUTLINE_KEYS[1:]):
        B = set_pose(f)
        b = around(B, f)
        x0, y0, x1, y1 = min(a[0], b[0]), min(a[1], b[1]), max(a[2], b[2]), max(a[3], b[3])
        i2, b2, p2 = Look(B, f).rect(x0, y0, x1, y1)
        keep["rect%d" % f], keep["ids%d" % f], keep["bones%d" % f], keep["points%d" % f] = np.array([x0, y0, x1, y1]), i2, b2, p2
    np.savez_compressed(os.path.join(OUT, "geometry.npz"), **keep)


def layer_points(name):
    """Where a layer's surface is, also where something stands before it: on a lattice of every second pixel."""
    from mathutils.bvhtree import BVHTree
    B = set_pose(1)
    verts, faces, base = [], [], 0
    bns = []
    for o in meshes():
        if in_layer(o, name) and o["worn"]:
            verts.append(world_points(o, B, 1))
            faces += [[base + i for i in f.vertices] for f in o.data.polygons]
            bns += [o.get("bone", "")] * len(o.data.polygons)
            base += len(o.data.vertices)
    tree = BVHTree.FromPolygons(np.vstack(verts).tolist(), faces)
    x0, y0, x1, y1 = rect_of(name, B, 1)
    xs, ys = np.arange(x0, x1, 2) + 1.0, np.arange(y0, y1, 2) + 1.0
    bone, pts = np.zeros((len(ys), len(xs)), "U24"), np.full((len(ys), len(xs), 3), np.nan)
    eye = Vector(scene.LENS.eye)
    for a, y in enumerate(ys):
        for b, x in enumerate(xs):
            loc, _n, i, _d = tree.ray_cast(eye, Vector(scene.LENS.ray(x, y)))
            if loc is not None:
                bone[a, b], pts[a, b] = bns[i], loc
    np.savez_compressed(os.path.join(OUT, name + "_points.npz"), bone=bone, points=pts, rect=[x0, y0, x1, y1])


def main():
    global scene, OUT, PASS
    ap = argparse.ArgumentParser()
    ap.add_argument("scene")
    ap.add_argument("job")
    ap.add_argument("--frame", type=int, default=1)
    ap.add_argument("--percent", type=int, default=50)
    ap.add_argument("--samples", type=int, default=8, help="of preview and shade")
    ap.add_argument("--pass", dest="number", type=int, default=0, help="another pass of the same pieces, with other seeds")
    ap.add_argument("--only", type=str, default="", help="one layer alone")
    a = ap.parse_args(sys.argv[sys.argv.index("--") + 1:])
    scene = importlib.import_module("scene_" + a.scene)
    OUT, PASS = os.path.join(PIECES, scene.NAME), a.number
    os.makedirs(OUT, exist_ok=True)
    sc = prepare()
    if hasattr(scene, "fit"):
        scene.fit(lambda bone, f: np.vstack([world_points(o, scene.bones(f), f) for o in meshes() if o.get("bone") == bone]))
        json.dump(scene.SIZES, open(os.path.join(OUT, "sizes.json"), "w"))
    if a.job == "preview":
        set_pose(a.frame)
        light("all")
        sc.render.resolution_percentage = a.percent
        sc.render.image_settings.file_format, sc.render.image_settings.color_depth = "PNG", "8"
        path = os.path.join(PIECES, "preview_%s_%02d" % (scene.NAME, a.frame))
        sc.render.filepath, sc.cycles.samples = path, a.samples
        bpy.ops.render.render(write_still=True)
    elif a.job == "geometry":
        if not os.path.exists(os.path.join(OUT, "geometry.npz")):
            geometry()
        for n in scene.LAYERS:
            layer_points(n)
    elif a.job == "base":
        set_pose(1)
        stage_for(None)
        beauty(sc, "base", 5000, scene.SAMPLES["base"])
    elif a.job == "layers":
        for k, (n, (_, every)) in enumerate(scene.LAYERS.items()):
            if not every and a.only in ("", n):
                B = set_pose(1)
                stage_for(n)
                beauty(sc, n, 6000 + k, scene.SAMPLES[n], rect_of(n, B, 1))
    elif a.job == "frames":
        for f in getattr(scene, "RENDERED", scene.FRAMES):
            for k, (n, (_, every)) in enumerate(scene.LAYERS.items()):
                if every and a.only in ("", n):
                    B = set_pose(f)
                    stage_for(n)
                    beauty(sc, "%s_%04d" % (n, f), 100 * (k + 1) + f, scene.SAMPLES[n], rect_of(n, B, f))
    elif a.job == "shade":
        shade(sc, a.samples)


def shade(sc, samples):
    sc.render.resolution_percentage = 25
    light("all")
    every = [n for n, (_, e) in scene.LAYERS.items() if e]

    def small(path):
        render(sc, os.path.join(OUT, path), 7, samples)
    for f in scene.SHADE:
        set_pose(f)
        stage_for(None)
        for o in meshes():
            if layer_of(o) in every:
                o.hide_render = not o.get("worn", True)
        small("shade_%04d.exr" % f)
    set_pose(1)
    stage_for(None)
    if scene.ANIMATED:
        small("shade_none.exr")
    if scene.BLOCKER:
        disc = bpy.data.meshes.new("blocker")
        a = np.linspace(0, 2 * np.pi, 40, endpoint=False)
        disc.from_pydata([(2.6 * np.cos(t), 3.6 * np.sin(t), 0) for t in a], [], [list(range(40))])
        ob = bpy.data.objects.new("blocker", disc)
        sc.collection.objects.link(ob)
        ob["part"] = ob["bone"] = ""
        ob.visible_camera = False
        key = np.array([34, -46, 46.0])
        for f, x in scene.BLOCKER.items():
            aim = np.array([x, -2.4, 10.5])
            d = (key - aim) / np.linalg.norm(key - aim)
            ob.location = Vector(aim + 13.0 * d)
            ob.rotation_euler = Vector(d).to_track_quat("Z", "Y").to_euler()
            bpy.context.view_layer.update()
            small("blocked_%04d.exr" % f)


main()
