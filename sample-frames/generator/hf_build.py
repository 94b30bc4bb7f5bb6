"""Small mesh and material kit for the miniature sets (runs inside Blender).

Unit: 1 Blender unit is 1 cm of puppet. UV coordinates are centimetres too, so one material fits every piece.
Every object carries two marks:
    obj["part"]  the id of the watched part it belongs to ("" for what nobody watches)
    obj["bone"]  the bone it rides on; its vertices are in that bone's frame ("" is the world)
"""
import os
import bpy
import numpy as np
from mathutils import Vector
from mathutils.bvhtree import BVHTree
from places import PIECES

TEX = os.path.join(PIECES, "textures")
_mats = {}


# ---------------------------------------------------------------- materials
def _img(name, data):
    im = bpy.data.images.load(os.path.join(TEX, name), check_existing=True)
    im.colorspace_settings.name = "Non-Color" if data else "sRGB"
    return im


def material(name, tex, px_per_cm=100.0, coords="UV", rough=0.8, spec=0.3, bump=0.02, bump_strength=0.8, sheen=0.0,
             sss=0.0, metallic=0.0, coat=0.0, bright=1.0, sat=1.0, emit=0.0, tint=None):
    """Principled material from a painted texture. coords: UV (cm) or BOX (object space, cm, three-way projection)."""
    if name in _mats:
        return _mats[name]
    m = bpy.data.materials.new(name)
    m.use_nodes = True
    nt = m.node_tree
    b = nt.nodes["Principled BSDF"]
    tc = nt.nodes.new("ShaderNodeTexCoord")
    mp = nt.nodes.new("ShaderNodeMapping")
    nt.links.new(tc.outputs["UV" if coords == "UV" else "Object"], mp.inputs["Vector"])

    def tex_node(suffix, data):
        t = nt.nodes.new("ShaderNodeTexImage")
        t.image = _img(tex + suffix, data)
        t.interpolation = "Cubic" if not data else "Linear"
        if coords == "BOX":
            t.projection = "BOX"
            t.projection_blend = 0.25
        nt.links.new(mp.outputs["Vector"], t.inputs["Vector"])
        return t

    c = tex_node("_c.png", False)
    w, h = c.image.size
    if coords == "UV":
        mp.inputs["Scale"].default_value = (px_per_cm / w, px_per_cm / h, 1)
    else:
        s = px_per_cm / max(w, h)
        mp.inputs["Scale"].default_value = (s, s, s)
    hsv = nt.nodes.new("ShaderNodeHueSaturation")
    hsv.inputs["Saturation"].default_value = sat
    hsv.inputs["Value"].default_value = bright
    nt.links.new(c.outputs["Color"], hsv.inputs["Color"])
    out = hsv.outputs["Color"]
    if tint:
        mix = nt.nodes.new("ShaderNodeMixRGB")
        mix.blend_type = "MULTIPLY"
        mix.inputs["Fac"].default_value = 1
        mix.inputs["Color2"].default_value = (*tint, 1)
        nt.links.new(out, mix.inputs["Color1"])
        out = mix.outputs["Color"]
    nt.links.new(out, b.inputs["Base Color"])
    if sss:
        nt.links.new(out, b.inputs["Subsurface Color"])
        b.inputs["Subsurface"].default_value = sss
        b.inputs["Subsurface Radius"].default_value = (0.16, 0.07, 0.04)
        b.subsurface_method = "BURLEY"
    if emit:
        nt.links.new(out, b.inputs["Emission"])
        b.inputs["Emission Strength"].default_value = emit
    if bump:
        ht = tex_node("_h.png", True)
        bn = nt.nodes.new("ShaderNodeBump")
        bn.inputs["Strength"].default_value = bump_strength
        bn.inputs["Distance"].default_value = bump
        nt.links.new(ht.outputs["Color"], bn.inputs["Height"])
        nt.links.new(bn.outputs["Normal"], b.inputs["Normal"])
    b.inputs["Roughness"].default_value = rough
    b.inputs["Specular"].default_value = spec
    b.inputs["Sheen"].default_value = sheen
    b.inputs["Metallic"].default_value = metallic
    b.inputs["Clearcoat"].default_value = coat
    b.inputs["Clearcoat Roughness"].default_value = 0.08
    _mats[name] = m
    return m


def plain(name, colour, rough=0.6, metallic=0.0, spec=0.4, emit=0.0):
    """A material of one colour (linear RGB), for small things only: nothing to measure on it."""
    if name in _mats:
        return _mats[name]
    m = bpy.data.materials.new(name)
    m.use_nodes = True
    b = m.node_tree.nodes["Principled BSDF"]
    b.inputs["Base Color"].default_value = (*colour, 1)
    b.inputs["Roughness"].default_value = rough
    b.inputs["Metallic"].default_value = metallic
    b.inputs["Specular"].default_value = spec
    if emit:
        b.inputs["Emission"].default_value = (*colour, 1)
        b.inputs["Emission Strength"].default_value = emit
    _mats[name] = m
    return m


# ---------------------------------------------------------------- meshes
def mesh_object(name, verts, faces, mat, part="", bone="", uvs=None, smooth=True):
    """uvs: one (u, v) per face corner, flat, in the order of the faces."""
    me = bpy.data.meshes.new(name)
    me.from_pydata([tuple(v) for v in np.asarray(verts, float)], [], [tuple(map(int, f)) for f in faces])
    if uvs is not None:
        lay = me.uv_layers.new(name="UVMap")
        lay.data.foreach_set("uv", np.asarray(uvs, np.float32).ravel())
    me.polygons.foreach_set("use_smooth", [smooth] * len(me.polygons))
    me.materials.append(mat)
    me.update()
    ob = bpy.data.objects.new(name, me)
    bpy.context.collection.objects.link(ob)
    ob["part"], ob["bone"] = part, bone
    return ob


def sheet(name, P, UV, mat, part="", bone="", wrap_u=False, flip=False):
    """A grid of points P[nu, nv, 3] with UV[nu, nv, 2]; wrap_u joins the last row to the first."""
    P, UV = np.asarray(P, float), np.asarray(UV, float)
    nu, nv = P.shape[:2]
    idx = np.arange(nu * nv).reshape(nu, nv)
    faces, uvs = [], []
    step_u = UV[1, 0] - UV[0, 0]
    for a in range(nu if wrap_u else nu - 1):
        b = (a + 1) % nu
        ub = UV[b] if b else UV[a] + step_u
        for k in range(nv - 1):
            f = [idx[a, k], idx[b, k], idx[b, k + 1], idx[a, k + 1]]
            t = [UV[a, k], ub[k], ub[k + 1], UV[a, k + 1]]
            if flip:
                f, t = f[::-1], t[::-1]
            faces.append(f)
            uvs.extend(t)
    return mesh_object(name, P.reshape(-1, 3), faces, mat, part, bone, uvs)


def lathe(name, profile, mat, part="", bone="", axis="z", n=64, at=(0, 0, 0), wobble=None, uv_scale=1.0):
    """Turn a profile [(radius, height), ...] about an axis. wobble(angle, t) adds to the radius."""
    prof = np.asarray(profile, float)
    d = np.r_[0, np.cumsum(np.hypot(*np.diff(prof, axis=0).T))]
    ang = np.arange(n) / n * 2 * np.pi
    rmean = max(prof[:, 0].max() * 0.75, 0.05)
    R = np.broadcast_to(prof[:, 0], (n, len(prof))).copy()
    if wobble:
        R = R + wobble(ang[:, None], (d / d[-1])[None, :]) * (R > 1e-3)
    X, Y = R * np.cos(ang)[:, None], R * np.sin(ang)[:, None]
    Z = np.broadcast_to(prof[:, 1], X.shape)
    P = np.stack({"z": (X, Y, Z), "x": (Z, X, Y), "y": (X, Z, -Y)}[axis], -1) + np.asarray(at, float)
    UV = np.stack([np.broadcast_to(ang[:, None] * rmean, X.shape), np.broadcast_to(d[None], X.shape)], -1) * uv_scale
    return sheet(name, P, UV, mat, part, bone, wrap_u=True)


def smooth_path(pts, n):
    """Catmull-Rom curve through points."""
    p = np.asarray(pts, float)
    p = np.vstack([2 * p[0] - p[1], p, 2 * p[-1] - p[-2]])
    t = np.linspace(0, len(p) - 3 - 1e-9, n)
    k = t.astype(int)
    f = (t - k)[:, None]
    a, b, c, d = p[k], p[k + 1], p[k + 2], p[k + 3]
    return 0.5 * (2 * b + (c - a) * f + (2 * a - 5 * b + 4 * c - d) * f ** 2 + (3 * b - a - 3 * c + d) * f ** 3)


def tube(name, pts, radius, mat, part="", bone="", n=24, sides=12, u0=0.0, caps=True, squash=1.0):
    """A round cord along a smooth path; radius: a number or one per point of the path."""
    c = smooth_path(pts, n)
    r = np.interp(np.linspace(0, 1, n), np.linspace(0, 1, len(np.atleast_1d(radius))), np.atleast_1d(radius))
    if caps:
        e = np.linspace(0, 1, n)
        ends = np.clip(np.minimum(e, 1 - e) * n / 2.5, 0, 1)
        r = r * np.sqrt(1 - (1 - ends) ** 2 * 0.98)
    t = np.gradient(c, axis=0)
    t /= np.linalg.norm(t, axis=1)[:, None]
    ref = np.array([0, 1.0, 0.13])
    if abs(t[:, 1]).max() > 0.93:
        ref = np.array([0.2, 0.1, 1.0])
    a = np.cross(t, ref)
    a /= np.linalg.norm(a, axis=1)[:, None]
    b = np.cross(t, a)
    ang = np.arange(sides) / sides * 2 * np.pi
    P = c[None] + (np.cos(ang)[:, None, None] * a[None] + np.sin(ang)[:, None, None] * b[None] * squash) * r[None, :, None]
    d = np.r_[0, np.cumsum(np.linalg.norm(np.diff(c, axis=0), axis=1))]
    UV = np.stack([np.broadcast_to((ang * r.mean())[:, None], P.shape[:2]) + u0, np.broadcast_to(d[None], P.shape[:2])], -1)
    return sheet(name, P, UV, mat, part, bone, wrap_u=True, flip=True)


def board(name, size, mat, part="", bone="", at=(0, 0, 0), turn=(0, 0, 0), u0=0.0, strip=0, bevel=0.06, along=0, strip_cm=3.75):
    """A sawn board with a softened edge. Grain runs along axis `along`; strip and u0 choose the piece of the wood atlas."""
    import bmesh
    bm = bmesh.new()
    bmesh.ops.create_cube(bm, size=1.0)
    bmesh.ops.scale(bm, vec=Vector(size), verts=bm.verts)
    bmesh.ops.bevel(bm, geom=bm.edges[:], offset=min(bevel, min(size) * 0.3), segments=2, affect="EDGES", profile=0.6)
    uvl = bm.loops.layers.uv.new("UVMap")
    others = [k for k in range(3) if k != along]
    for f in bm.faces:
        nrm = f.normal
        side = max(others, key=lambda k: abs(nrm[k]))
        cross = [k for k in others if k != side][0]
        for lp in f.loops:
            co = lp.vert.co
            u = co[along] + u0 + (7.3 if side == others[0] else 0)
            v = co[cross] + size[cross] / 2
            if abs(nrm[along]) > 0.8:                     # end grain
                u, v = co[others[0]] * 0.25 + u0, co[others[1]] + size[others[1]] / 2
            span = max(size[cross], 0.01)
            if span < strip_cm:
                v = v + (strip_cm - span) * 0.5
            lp[uvl].uv = (u, v + strip * strip_cm)
    bmesh.ops.rotate(bm, verts=bm.verts, cent=(0, 0, 0), matrix=_euler(turn))
    bmesh.ops.translate(bm, vec=Vector(at), verts=bm.verts)
    me = bpy.data.meshes.new(name)
    bm.to_mesh(me)
    bm.free()
    me.materials.append(mat)
    ob = bpy.data.objects.new(name, me)
    bpy.context.collection.objects.link(ob)
    ob["part"], ob["bone"] = part, bone
    return ob


def _euler(turn):
    from mathutils import Euler
    return Euler(turn, "XYZ").to_matrix()


def ball(name, at, radii, mat, part="", bone="", n=40, uv_scale=1.0):
    a = np.linspace(0, np.pi, n // 2 + 1)
    prof = [(np.sin(t), -np.cos(t)) for t in a]
    ob = lathe(name, prof, mat, part, bone, n=n)
    me = ob.data
    co = np.empty(len(me.vertices) * 3)
    me.vertices.foreach_get("co", co)
    co = co.reshape(-1, 3) * np.asarray(radii) + np.asarray(at)
    me.vertices.foreach_set("co", co.ravel())
    uv = np.empty(len(me.loops) * 2, np.float32)
    me.uv_layers[0].data.foreach_get("uv", uv)
    me.uv_layers[0].data.foreach_set("uv", uv * float(np.mean(radii)) * uv_scale)
    me.update()
    return ob


def fuse(name, pieces, mat, part="", bone="", voxel=0.07, smooth=6):
    """Cast several closed pieces as one skin: voxel remesh, then smoothing."""
    dg = bpy.context.evaluated_depsgraph_get()
    verts, faces, base = [], [], 0
    for p in pieces:
        me = p.data
        verts += [tuple(v.co) for v in me.vertices]
        faces += [tuple(i + base for i in f.vertices) for f in me.polygons]
        base += len(me.vertices)
    tmp = mesh_object(name + "_raw", verts, faces, mat)
    r = tmp.modifiers.new("r", "REMESH")
    r.mode, r.voxel_size = "VOXEL", voxel
    s = tmp.modifiers.new("s", "SMOOTH")
    s.factor, s.iterations = 0.5, smooth
    dg = bpy.context.evaluated_depsgraph_get()
    me = bpy.data.meshes.new_from_object(tmp.evaluated_get(dg))
    for p in pieces + [tmp]:
        bpy.data.objects.remove(p)
    me.polygons.foreach_set("use_smooth", [True] * len(me.polygons))
    me.materials.clear()
    me.materials.append(mat)
    ob = bpy.data.objects.new(name, me)
    bpy.context.collection.objects.link(ob)
    ob["part"], ob["bone"] = part, bone
    return ob


def bvh(ob):
    me = ob.data
    return BVHTree.FromPolygons([v.co for v in me.vertices], [tuple(p.vertices) for p in me.polygons])


def folds(seed, n=7, low=0.5, high=1.6):
    """A smooth random function of three coordinates (cm), about -1..1: folds and dents of cloth and clay."""
    rng = np.random.default_rng(seed)
    k = rng.standard_normal((n, 3))
    k = k / np.linalg.norm(k, axis=1)[:, None] * rng.uniform(low, high, n)[:, None] * 2
    ph = rng.uniform(0, 6.28, n)

    def f(x, y, z):
        return sum(np.sin(k[i, 0] * x + k[i, 1] * y + k[i, 2] * z + ph[i]) for i in range(n)) / np.sqrt(n)
    return f
