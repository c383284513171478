"""The jointed figure: joints and bone lengths in body units (standing height = 1), and its points as seen.

Axes: x to the figure's own left, y up, z the way it faces. The floor is y = 0, the figure's place the origin.

The proportions are those of a child of seven: medians of the individual records of Snyder, Schneider, Owings
et al. 1977, *Anthropometry of infants, children and youths to age 18*, over each child's own stature. Joints
lie a little inside the landmarks that were measured; the tests hold the lengths against the table.

Parallel projection from slightly above, so that feet at different depths stand at different heights.
"""

from __future__ import annotations

from enum import Enum, IntEnum
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray


class Joint(IntEnum):
    """Points of the figure; the value is the row in an array of points."""

    PELVIS = 0
    WAIST = 1
    SPINE = 2
    NECK = 3
    THROAT = 4
    HEAD = 5
    FACE = 6
    SHOULDER_L = 7
    SHOULDER_R = 8
    ELBOW_L = 9
    ELBOW_R = 10
    WRIST_L = 11
    WRIST_R = 12
    HAND_L = 13
    HAND_R = 14
    HIP_L = 15
    HIP_R = 16
    KNEE_L = 17
    KNEE_R = 18
    ANKLE_L = 19
    ANKLE_R = 20
    HEEL_L = 21
    HEEL_R = 22
    BALL_L = 23
    BALL_R = 24
    TOE_L = 25
    TOE_R = 26


THIGH: Final = 0.234
SHANK: Final = 0.217
ANKLE_HEIGHT: Final = 0.040
HEEL_BACK: Final = 0.035
BALL_AHEAD: Final = 0.075
TOE_AHEAD: Final = 0.115
HIP_HALF_WIDTH: Final = 0.046
LUMBAR: Final = 0.077
THORAX_LOW: Final = 0.096
THORAX_HIGH: Final = 0.116
NECK_LENGTH: Final = 0.060
HEAD_CENTRE: Final = 0.080
FACE_AHEAD: Final = 0.080
CLAVICLE: Final = 0.092
CLAVICLE_DROP: Final = 0.020
UPPER_ARM: Final = 0.163
FOREARM: Final = 0.143
HAND: Final = 0.080

HIP_HEIGHT: Final = THIGH + SHANK + ANKLE_HEIGHT

BONES: Final[tuple[tuple[Joint, Joint], ...]] = (
    (Joint.PELVIS, Joint.WAIST),
    (Joint.WAIST, Joint.SPINE),
    (Joint.SPINE, Joint.NECK),
    (Joint.NECK, Joint.THROAT),
    (Joint.THROAT, Joint.HEAD),
    (Joint.HEAD, Joint.FACE),
    *(
        (Joint[f"{start}{side}"], Joint[f"{end}{side}"])
        for side in ("_L", "_R")
        for start, end in (
            ("SHOULDER", "ELBOW"),
            ("ELBOW", "WRIST"),
            ("WRIST", "HAND"),
            ("HIP", "KNEE"),
            ("KNEE", "ANKLE"),
            ("ANKLE", "HEEL"),
            ("ANKLE", "BALL"),
            ("BALL", "TOE"),
        )
    ),
    (Joint.NECK, Joint.SHOULDER_L),
    (Joint.NECK, Joint.SHOULDER_R),
    (Joint.PELVIS, Joint.HIP_L),
    (Joint.PELVIS, Joint.HIP_R),
)
"""Every pair of joints that stays the same distance apart, parent first."""

MIRRORED: Final[tuple[Joint, ...]] = tuple(
    Joint[f"{joint.name[:-2]}{'_R' if joint.name.endswith('_L') else '_L'}"]
    if joint.name[-2:] in {"_L", "_R"}
    else joint
    for joint in Joint
)
"""For each joint, the one on the other side (itself on the midline)."""


Array = NDArray[np.float64]


class View(Enum):
    """A direction to look from: turn about the vertical, and height of the eye, in degrees."""

    FRONT = (0.0, 6.0)
    THREE_QUARTER = (60.0, 9.0)
    SIDE = (82.0, 8.0)
    ABOVE = (38.0, 26.0)
    FRONT_ABOVE = (0.0, 22.0)
    GLIDING = (22.0, 28.0)

    @cached_property
    def axes(self) -> Array:
        """Rows: picture right, picture up, towards the eye, in world axes."""
        turn, height = np.radians(self.value)
        towards = np.array([-np.sin(turn) * np.cos(height), np.sin(height), np.cos(turn) * np.cos(height)])
        right = np.array([np.cos(turn), 0.0, np.sin(turn)])
        return np.stack([right, np.cross(towards, right), towards])

    @cached_property
    def level(self) -> Array:
        """Towards the eye along the floor, in world axes."""
        turn = np.radians(self.value[0])
        return np.array([-np.sin(turn), 0.0, np.cos(turn)])

    def project(self, points: Array) -> Array:
        """Return (right, up, towards the eye) for points of shape (..., 3)."""
        projected: Array = points @ self.axes.T
        return projected
