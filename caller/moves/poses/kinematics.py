"""From channels (angles and targets over time) to joint positions, for many moments at once.

The trunk, the head and free arms follow their angles (forward kinematics). Legs always, and arms that are
given a hand target, follow their ends (two-bone inverse kinematics), and so stay put where planted.
All arrays have the moments along the first axis; angles are in degrees.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, Literal

import numpy as np

from caller.moves.poses import skeleton as body
from caller.moves.poses.skeleton import Array, Joint

Frame = Literal["chest", "hips", "world"]

# A leg is never drawn quite straight: the knee's direction would be undefined there.
_STRETCH: Final = 0.9995

_SIDES: Final[tuple[tuple[str, float], ...]] = (("l", 1.0), ("r", -1.0))

CHANNELS: Final[dict[str, tuple[float, ...]]] = {
    "at": (0.0, 0.0, 0.0),  # pelvis: left, up, ahead of standing upright over the origin
    "hips": (0.0, 0.0, 0.0),  # pelvis: turn left, lean forward, tilt left
    "chest": (0.0, 0.0, 0.0),  # chest on pelvis: twist left, bend forward, sway left
    "head": (0.0, 0.0, 0.0),  # head on chest: look left, nod, tilt left
    "shoulder": (0.0, 0.0),  # shoulder blade: up, forward
    "arm": (
        7.0,
        20.0,
        14.0,
        70.0,
    ),  # lift from hanging, plane (0 sideways, 90 forward), elbow bend, roll of the bend
    "hand": (0.0, -0.28, 0.0),  # wrist target: out, up, ahead, in the move's frame
    "elbow": (0.0,),  # swivel of the elbow outwards about the line from shoulder to wrist
    "foot": (0.06, 0.0, 0.055, 0.0),  # ball of the foot: out, up, ahead; pitch (toes down)
    "toe": (8.0, 0.0),  # toes turned out, sole rolled out
    "knee": (0.0,),  # swivel of the knee outwards about the line from hip to ankle
}
"""Every channel and its value in quiet standing. Limb channels exist per side, as `arm_l` and `arm_r`."""

LIMB_CHANNELS: Final = ("shoulder", "arm", "hand", "elbow", "foot", "toe", "knee")


def rotation(turn_deg: Array, lean_deg: Array, tilt_deg: Array) -> Array:
    """Return rotation matrices, shape (n, 3, 3): tilt left, then lean forward, then turn left."""
    turn, lean, tilt = np.radians(turn_deg), np.radians(lean_deg), -np.radians(tilt_deg)
    cy, sy, cx, sx, cz, sz = (
        np.cos(turn),
        np.sin(turn),
        np.cos(lean),
        np.sin(lean),
        np.cos(tilt),
        np.sin(tilt),
    )
    rows = (
        (cy * cz + sy * sx * sz, -cy * sz + sy * sx * cz, sy * cx),
        (cx * sz, cx * cz, -sx),
        (-sy * cz + cy * sx * sz, sy * sz + cy * sx * cz, cy * cx),
    )
    matrices = np.empty((*np.shape(turn), 3, 3))
    for row, entries in enumerate(rows):
        for column, entry in enumerate(entries):
            matrices[..., row, column] = entry
    return matrices


def two_bone(start: Array, target: Array, upper: float, lower: float, hinge: Array) -> tuple[Array, Array]:
    """Solve a two-bone limb that starts at `start` and reaches for `target`.

    Parameters
    ----------
    start, target
        Points, shape (n, 3). A target out of reach is approached as far as the limb goes.
    upper, lower
        The two bone lengths.
    hinge
        Towards where the middle joint bends, shape (n, 3); only its part across the limb counts.

    Returns
    -------
    tuple
        Middle joint and end, each of shape (n, 3).
    """
    line = target - start
    distance = np.linalg.norm(line, axis=-1, keepdims=True)
    along = line / np.maximum(distance, 1e-9)
    reach = np.clip(distance, abs(upper - lower) + 1e-6, (upper + lower) * _STRETCH)
    across = hinge - along * np.sum(along * hinge, axis=-1, keepdims=True)
    across /= np.maximum(np.linalg.norm(across, axis=-1, keepdims=True), 1e-9)
    # Law of cosines at the start of the limb.
    foot = (upper**2 - lower**2 + reach**2) / (2 * reach)
    height = np.sqrt(np.maximum(upper**2 - foot**2, 0.0))
    return start + along * foot + across * height, start + along * reach


def _cross(a: Array, b: Array) -> Array:
    """Return the cross products of vectors, shape (n, 3): numpy's own takes four times as long for so few."""
    product = np.empty_like(a)
    for axis, (first, second) in enumerate(((1, 2), (2, 0), (0, 1))):
        product[:, axis] = a[:, first] * b[:, second] - a[:, second] * b[:, first]
    return product


def _swivelled(along: Array, axis: Array, swivel_deg: Array, outwards: float) -> Array:
    """Return the bending direction of a limb along `along` whose hinge lies on `axis`, turned outwards."""
    first = _cross(along, axis)
    first /= np.maximum(np.linalg.norm(first, axis=-1, keepdims=True), 1e-9)
    second = _cross(first, along) * outwards
    angle = np.radians(swivel_deg)[:, None]
    return np.cos(angle) * first + np.sin(angle) * second


def _turned(frame: Array, vector: Array | tuple[float, float, float]) -> Array:
    """Express a vector of a body frame in world axes."""
    turned: Array = (frame @ np.asarray(vector, dtype=float)[..., None])[..., 0]
    return turned


class Solver:
    """One pass over the body, from the floor up to the hands."""

    def __init__(
        self, channels: Mapping[str, Array], moments: int, frame: Frame, *, flat_hands: bool
    ) -> None:
        self._channels = channels
        self._n = moments
        self._frame: Frame = frame
        self._flat_hands = flat_hands
        self._points = np.zeros((moments, len(Joint), 3))

    def solve(self) -> Array:
        """Return joint positions, shape (n, number of joints, 3)."""
        pelvis = rotation(*self._angles("hips"))
        ankles = {side: self._foot(side, sign) for side, sign in _SIDES}
        root = np.add(self._channel("at"), (0.0, body.HIP_HEIGHT, 0.0))
        hips = {side: _turned(pelvis, (sign * body.HIP_HALF_WIDTH, 0.0, 0.0)) for side, sign in _SIDES}
        root[:, 1] = np.minimum(root[:, 1], self._highest(root, hips, ankles))
        self._points[:, Joint.PELVIS] = root
        chest = self._trunk(root, pelvis)
        for side, sign in _SIDES:
            self._leg(side, sign, root + hips[side], ankles[side], pelvis)
            self._arm(side, sign, root, pelvis, chest)
        return self._points

    def _channel(self, name: str) -> Array:
        given = self._channels.get(name)
        if given is not None:
            return given.copy()
        quiet = CHANNELS[name.removesuffix("_l").removesuffix("_r")]
        values = np.empty((self._n, len(quiet)))
        values[:] = quiet
        return values

    def _angles(self, name: str) -> tuple[Array, Array, Array]:
        values = self._channel(name)
        return values[:, 0], values[:, 1], values[:, 2]

    def _put(self, joint: str, points: Array) -> None:
        self._points[:, Joint[joint]] = points

    @staticmethod
    def _highest(root: Array, hips: Mapping[str, Array], ankles: Mapping[str, Array]) -> Array:
        """Return how high the pelvis can be with both feet where they are: legs do not stretch."""
        reach = (body.THIGH + body.SHANK) * _STRETCH
        limits = []
        for side, hip in hips.items():
            gap = ankles[side] - (root + hip)
            level = np.minimum(gap[:, 0] ** 2 + gap[:, 2] ** 2, reach**2)
            limits.append(ankles[side][:, 1] + np.sqrt(reach**2 - level) - hip[:, 1])
        highest: Array = np.minimum(*limits)
        return highest

    def _trunk(self, root: Array, pelvis: Array) -> Array:
        twist, bend, sway = self._angles("chest")
        middle = pelvis @ rotation(twist / 2, bend / 2, sway / 2)
        chest = pelvis @ rotation(twist, bend, sway)
        look, nod, cock = self._angles("head")
        neck_frame = chest @ rotation(look / 2, nod / 2, cock / 2)
        head = chest @ rotation(look, nod, cock)
        waist = root + _turned(pelvis, (0.0, body.LUMBAR, 0.0))
        spine = waist + _turned(middle, (0.0, body.THORAX_LOW, 0.0))
        neck = spine + _turned(chest, (0.0, body.THORAX_HIGH, 0.0))
        throat = neck + _turned(neck_frame, (0.0, body.NECK_LENGTH, 0.0))
        centre = throat + _turned(head, (0.0, body.HEAD_CENTRE, 0.0))
        self._put("WAIST", waist)
        self._put("SPINE", spine)
        self._put("NECK", neck)
        self._put("THROAT", throat)
        self._put("HEAD", centre)
        self._put("FACE", centre + _turned(head, (0.0, 0.0, body.FACE_AHEAD)))
        return chest

    def _foot(self, side: str, sign: float) -> Array:
        """Place one foot and return its ankle."""
        place = self._channel(f"foot_{side}")
        turned_out, rolled_out = self._channel(f"toe_{side}").T
        pitch = place[:, 3]
        flat = rotation(turned_out * sign, np.zeros(self._n), np.zeros(self._n))
        frame = rotation(turned_out * sign, pitch, rolled_out * sign)
        ball = place[:, :3] * (sign, 1.0, 1.0)
        # Toes down turns about the ball, toes up about the heel: whichever carries the weight stays put.
        heel = ball - _turned(flat, (0.0, 0.0, body.BALL_AHEAD + body.HEEL_BACK))
        to_ball = _turned(frame, (0.0, -body.ANKLE_HEIGHT, body.BALL_AHEAD))
        to_heel = _turned(frame, (0.0, -body.ANKLE_HEIGHT, -body.HEEL_BACK))
        ankle: Array = np.where(pitch[:, None] >= 0, ball - to_ball, heel - to_heel)
        # While the ball is on the floor the toes lie flat under a rising heel; off it, they droop no lower
        # than half its height.
        droop = np.degrees(
            np.arcsin(np.clip(0.5 * place[:, 1] / (body.TOE_AHEAD - body.BALL_AHEAD), 0.0, 1.0))
        )
        toe_pitch = np.minimum(pitch, droop)
        toes = rotation(turned_out * sign, toe_pitch, rolled_out * sign)
        side = side.upper()
        self._put(f"ANKLE_{side}", ankle)
        self._put(f"HEEL_{side}", ankle + to_heel)
        self._put(f"BALL_{side}", ankle + to_ball)
        self._put(
            f"TOE_{side}", ankle + to_ball + _turned(toes, (0.0, 0.0, body.TOE_AHEAD - body.BALL_AHEAD))
        )
        return ankle

    def _leg(self, side: str, sign: float, hip: Array, ankle: Array, pelvis: Array) -> None:
        along = ankle - hip
        along /= np.maximum(np.linalg.norm(along, axis=-1, keepdims=True), 1e-9)
        hinge = _swivelled(along, pelvis[:, :, 0], self._channel(f"knee_{side}")[:, 0], sign)
        knee, end = two_bone(hip, ankle, body.THIGH, body.SHANK, hinge)
        side = side.upper()
        for joint in ("ANKLE", "HEEL", "BALL", "TOE"):
            self._points[:, Joint[f"{joint}_{side}"]] += end - ankle
        self._put(f"HIP_{side}", hip)
        self._put(f"KNEE_{side}", knee)

    def _arm(self, side: str, sign: float, root: Array, pelvis: Array, chest: Array) -> None:
        up, ahead = np.radians(self._channel(f"shoulder_{side}")).T
        drop = np.arctan2(body.CLAVICLE_DROP, body.CLAVICLE)
        clavicle = np.hypot(body.CLAVICLE, body.CLAVICLE_DROP)
        shoulder = self._points[:, Joint.NECK] + _turned(
            chest,
            clavicle
            * np.stack(
                [
                    sign * np.cos(up - drop) * np.cos(ahead),
                    np.sin(up - drop),
                    np.cos(up - drop) * np.sin(ahead),
                ],
                axis=-1,
            ),
        )
        if f"hand_{side}" in self._channels:
            elbow, wrist = self._reach(side, sign, shoulder, root, pelvis, chest)
        else:
            elbow, wrist = self._swing(side, sign, shoulder, chest)
        pointing = pelvis[:, :, 1] * (1.0, 0.0, 1.0) if self._flat_hands else wrist - elbow
        pointing = pointing / np.maximum(np.linalg.norm(pointing, axis=-1, keepdims=True), 1e-9)
        side = side.upper()
        self._put(f"SHOULDER_{side}", shoulder)
        self._put(f"ELBOW_{side}", elbow)
        self._put(f"WRIST_{side}", wrist)
        self._put(f"HAND_{side}", wrist + pointing * body.HAND)

    def _swing(self, side: str, sign: float, shoulder: Array, chest: Array) -> tuple[Array, Array]:
        """Free arm, from its angles."""
        values = self._channel(f"arm_{side}")
        lift, plane, bend, roll = np.radians(values).T
        zero = np.zeros(self._n)
        outwards = np.stack([sign * np.cos(plane), zero, np.sin(plane)], axis=-1)
        upwards = np.array([0.0, 1.0, 0.0])
        around = np.stack([-sign * np.sin(plane), zero, np.cos(plane)], axis=-1)
        upper = np.sin(lift)[:, None] * outwards - np.cos(lift)[:, None] * upwards
        rising = np.cos(lift)[:, None] * outwards + np.sin(lift)[:, None] * upwards
        folded = np.cos(roll)[:, None] * rising + np.sin(roll)[:, None] * around
        lower = np.cos(bend)[:, None] * upper + np.sin(bend)[:, None] * folded
        elbow = shoulder + body.UPPER_ARM * _turned(chest, upper)
        return elbow, elbow + body.FOREARM * _turned(chest, lower)

    def _reach(
        self, side: str, sign: float, shoulder: Array, root: Array, pelvis: Array, chest: Array
    ) -> tuple[Array, Array]:
        """Arm whose wrist has a target."""
        wanted = self._channel(f"hand_{side}") * (sign, 1.0, 1.0)
        if self._frame == "chest":
            target = shoulder + _turned(chest, wanted)
        elif self._frame == "hips":
            target = root + _turned(pelvis, wanted)
        else:
            target = wanted
        along = target - shoulder
        along /= np.maximum(np.linalg.norm(along, axis=-1, keepdims=True), 1e-9)
        # An elbow bends the other way than a knee, so its outward turn is mirrored too.
        hinge = _swivelled(along, -chest[:, :, 0], self._channel(f"elbow_{side}")[:, 0], -sign)
        return two_bone(shoulder, target, body.UPPER_ARM, body.FOREARM, hinge)
