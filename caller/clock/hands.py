"""Where the hands stand, and which time a pair of hands can be.

Angles are degrees clockwise from twelve. The hour hand turns half a degree a minute, the minute hand six.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from caller.clock.times import ALL_TIMES, ClockError, ClockTime

_NEARLY_UPRIGHT = math.sin(math.radians(16))


@dataclass(frozen=True, slots=True)
class Hands:
    """The angles of both hands in degrees clockwise from twelve, 0 up to 360."""

    hour_deg: float
    minute_deg: float


def hands(time: ClockTime) -> Hands:
    """Where the hands stand: the hour hand always moved on by the minutes."""
    return Hands(hour_deg=time.minutes / 2, minute_deg=6.0 * time.minute)


def time_from_hands(hour_deg: float, minute_deg: float, *, tolerance_deg: float = 3.0) -> ClockTime | None:
    """
    Read a pair of hands.

    Parameters
    ----------
    hour_deg, minute_deg : float
        Degrees clockwise from twelve, any number of turns.
    tolerance_deg : float
        How far either hand may stand from its place. From 3 (half a minute mark) on, every minute
        hand is near enough to some mark and only the hour hand can disagree.

    Returns
    -------
    ClockTime or None
        None when the hands disagree: no time puts both where they stand.
    """
    if not (math.isfinite(hour_deg) and math.isfinite(minute_deg)):
        raise ClockError("The angle of a hand is a number of degrees.")
    minute = round(minute_deg / 6) % 60
    hour = round((hour_deg - minute / 2) / 30) % 12
    time = ClockTime.from_minutes(60 * hour + minute)
    stand = hands(time)
    apart_deg = max(_turn_deg(stand.hour_deg, hour_deg), _turn_deg(stand.minute_deg, minute_deg))
    # A hair of room, so that a hand drawn at exactly the tolerance is inside whatever the rounding did.
    return time if apart_deg <= tolerance_deg + 1e-9 else None


def angle_between(time: ClockTime) -> float:
    """The smaller angle between the hands in degrees, 0 to 180: |30 h - 5.5 m| folded at 180."""
    stand = hands(time)
    return _turn_deg(stand.hour_deg, stand.minute_deg)


def smallest_difference_deg(a: ClockTime, b: ClockTime) -> float:
    """
    How far two readings differ as pictures: the turn of the hand that differs most, 0 to 180 degrees.

    A watcher who can tell one hand by this angle can tell the two readings apart.
    """
    at, other = hands(a), hands(b)
    return max(_turn_deg(at.hour_deg, other.hour_deg), _turn_deg(at.minute_deg, other.minute_deg))


def mistakable(time: ClockTime, *, error_deg: float) -> tuple[ClockTime, ...]:
    """The other readings whose hands all stand within `error_deg` of this time's, nearest first."""
    near = [(smallest_difference_deg(time, other), other) for other in ALL_TIMES if other != time]
    return tuple(other for apart_deg, other in sorted(near) if apart_deg <= error_deg)


def arms_can_show(time: ClockTime) -> bool:
    """
    Whether two arms can be the hands, each to its own side or nearly upright.

    With both hands on one side the long arm has to cross the body, or the face, and the two overlap:
    nobody can tell then which is which.
    """
    stand = hands(time)
    hour, minute = (math.sin(math.radians(angle)) for angle in (stand.hour_deg, stand.minute_deg))
    return hour * minute <= 0 or min(abs(hour), abs(minute)) < _NEARLY_UPRIGHT


def _turn_deg(a_deg: float, b_deg: float) -> float:
    """The smaller turn from one direction to the other."""
    return abs((a_deg - b_deg + 180) % 360 - 180)
