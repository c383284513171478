"""Keyframes: a move as a short table, and its channels at any phase of the loop.

A key names only the channels it sets. Each channel runs on its own between the keys that name it, and round
the end of the loop to its first key. A limb channel is set for one side (`arm_l`) or for both (`arms`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Final, Literal

import numpy as np

from caller.moves.poses.kinematics import CHANNELS, LIMB_CHANNELS, Frame
from caller.moves.poses.skeleton import Array, Joint, View

Values = tuple[float, ...]
Works = Literal["none", "arms", "legs", "both"]
Ease = Literal["smooth", "linear", "rise", "fall"]

EASES: Final[dict[Ease, Callable[[Array], Array]]] = {
    "smooth": lambda t: t * t * (3 - 2 * t),
    "linear": lambda t: t,
    "rise": lambda t: t * (2 - t),  # slows into the key, as a body thrown up does
    "fall": lambda t: t * t,  # speeds up into the key, as a falling body does
}

_DOWN: Final = 0.003  # a foot lower than this stands
_WAIT: Final = 0.35  # the share of a step in which a foot only rises, or only comes down

# What changes sign when left and right change places.
_FLIPPED: Final[dict[str, Values]] = {
    "at": (-1, 1, 1),
    "hips": (-1, 1, -1),
    "chest": (-1, 1, -1),
    "head": (-1, 1, -1),
}
_PLURALS: Final = {f"{name}s" if name != "foot" else "feet": name for name in LIMB_CHANNELS}


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One key: what holds at `phase`, and how the figure gets there."""

    phase: float
    channels: Mapping[str, Values]
    ease: Ease = "smooth"

    def mirrored(self) -> Key:
        """Return the same key half a loop later with left and right exchanged."""
        channels = {}
        for name, values in self.channels.items():
            if name in _FLIPPED:
                channels[name] = tuple(a * b for a, b in zip(values, _FLIPPED[name], strict=True))
            else:
                channels[f"{name[:-2]}{'_r' if name.endswith('_l') else '_l'}"] = values
        return Key(phase=self.phase + 0.5, channels=channels, ease=self.ease)


def key(phase: float, ease: Ease = "smooth", **channels: float | Values) -> Key:
    """Write one row of a table: plural limb names set both sides, a bare number is a channel of one value."""
    spread: dict[str, Values] = {}
    for name, given in channels.items():
        values = tuple(given) if isinstance(given, tuple) else (float(given),)
        single = _PLURALS.get(name)
        for full in (f"{single}_l", f"{single}_r") if single else (name,):
            base = full.removesuffix("_l").removesuffix("_r")
            if base not in CHANNELS or len(values) != len(CHANNELS[base]):
                raise ValueError(f"channel {name!r} does not take {values}")
            spread[full] = values
    return Key(phase=phase, channels=spread, ease=ease)


@dataclass(frozen=True, slots=True, kw_only=True)
class Animation:
    """A move's loop.

    Attributes
    ----------
    keys
        The table. An alternating move gives its first half; the second is its mirror image.
    view
        From where it is told best.
    alternates
        Whether the second half mirrors the first.
    hands
        In which frame hand targets are given.
    flat_hands
        Whether the palms lie flat on the floor.
    seated
        Whether the figure sits on a seat (a chair or a wheelchair).
    trail
        Joints whose latest path is worth a thin line, because the shape alone does not tell the movement.
    rope
        Whether the hands turn a rope that is not there.
    works
        Which limbs do the move and are marked. "none" where shoulders or back do it, since a mark would draw
        the eye away; a stance does not say.
    """

    keys: tuple[Key, ...]
    view: View
    alternates: bool = False
    hands: Frame = "chest"
    flat_hands: bool = False
    seated: bool = False
    trail: tuple[Joint, ...] = ()
    rope: bool = False
    works: Works | None = None
    _tracks: dict[str, ChannelTrack] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        keys = self.keys + tuple(one.mirrored() for one in self.keys) if self.alternates else self.keys
        names = {name for one in keys for name in one.channels}
        object.__setattr__(self, "_tracks", {name: ChannelTrack.of(name, keys) for name in sorted(names)})

    def channels(self, phases: Array) -> dict[str, Array]:
        """Return every channel the move sets at `phases` (n,), each of shape (n, values)."""
        return {name: track.at(phases) for name, track in self._tracks.items()}


@dataclass(frozen=True, slots=True, kw_only=True)
class ChannelTrack:
    """One channel over the loop."""

    phases: Array
    values: Array
    eases: tuple[Ease, ...]
    foot: bool = False  # it goes along only once it is off the floor, and is there before it lands

    @classmethod
    def of(cls, name: str, keys: tuple[Key, ...]) -> ChannelTrack:
        """Gather one channel out of the keys and close the loop."""
        rows = sorted(
            ((one.phase, one.channels[name], one.ease) for one in keys if name in one.channels),
            key=lambda r: r[0],
        )
        first = rows[0]
        if rows[-1][0] < first[0] + 1:
            rows.append((first[0] + 1, first[1], first[2]))
        return cls(
            phases=np.array([row[0] for row in rows]),
            values=np.array([row[1] for row in rows], dtype=float),
            eases=tuple(row[2] for row in rows),
            foot=name.startswith("foot_"),
        )

    def at(self, phases: Array) -> Array:
        """Return the channel at `phases`, shape (n, values)."""
        start = self.phases[0]
        wrapped = start + np.mod(phases - start, 1.0)
        right = np.searchsorted(self.phases, wrapped, side="right")
        right = np.minimum(np.maximum(right, 1), len(self.phases) - 1)
        left = right - 1
        share = (wrapped - self.phases[left]) / (self.phases[right] - self.phases[left])
        eased = share
        for name in set(self.eases[1:]):
            into = np.array([ease == name for ease in self.eases])[right]
            eased = np.where(into, EASES[name](share), eased)
        start, way = self.values[left], self.values[right] - self.values[left]
        between: Array = start + eased[:, None] * way
        if self.foot:
            down, landing = start[:, 1] < _DOWN, start[:, 1] + way[:, 1] < _DOWN
            along = eased.copy()
            for chosen, moved in (
                (down & ~landing, (share - _WAIT) / (1 - _WAIT)),
                (landing & ~down, share / (1 - _WAIT)),
            ):
                along[chosen] = EASES["smooth"](np.clip(moved, 0.0, 1.0))[chosen]
            between[:, [0, 2]] = (start + along[:, None] * way)[:, [0, 2]]
        return between
