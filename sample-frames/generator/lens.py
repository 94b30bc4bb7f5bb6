"""A lens without distortion: where world points (cm) come to lie in the picture, in double precision."""
import numpy as np


class Lens:
    def __init__(self, aim, distance, pitch_deg, width, height, focus, millimetres=85.0, sensor=36.0, fstop=11.0):
        p = np.radians(pitch_deg)
        self.forward, self.up, self.right = np.array([0, np.cos(p), -np.sin(p)]), np.array([0, np.sin(p), np.cos(p)]), np.array([1.0, 0, 0])
        self.eye = np.asarray(aim, float) - distance * self.forward
        self.width, self.height, self.focus, self.distance = width, height, focus, distance
        self.millimetres, self.sensor, self.fstop = millimetres, sensor, fstop
        self.k = millimetres / sensor * width

    def project(self, points):
        """Points (n, 3) in cm to px of a picture `width` wide; x right, y down, the centre of the first pixel at 0.5."""
        d = np.asarray(points, float) - self.eye
        z = d @ self.forward
        return np.stack([self.width / 2 + self.k * (d @ self.right) / z, self.height / 2 - self.k * (d @ self.up) / z], -1)

    def depth(self, points):
        return (np.asarray(points, float) - self.eye) @ self.forward

    def ray(self, x, y):
        return self.forward + self.right * ((x - self.width / 2) / self.k) - self.up * ((y - self.height / 2) / self.k)

    def circle(self, depth, focus):
        """Diameter of the circle of confusion, px, signed: positive behind the focus. Thin lens."""
        f = self.millimetres / 10
        return (f / self.fstop) * f / (focus - f) * (depth - focus) / depth * self.width / (self.sensor / 10)


def turn_about(point, axis, radians):
    from puppet_bones import _move, _rot
    point = np.asarray(point, float)
    return _move(point) @ _rot(axis, radians) @ _move(-point)


def apply(matrix, points):
    return np.asarray(points, float) @ matrix[:3, :3].T + matrix[:3, 3]


def smoothstep(t):
    t = np.clip(t, 0, 1)
    return t * t * (3 - 2 * t)
