"""When the next frame is due: sixty a second, in step with the countdown."""

from __future__ import annotations

from typing import Final

from caller.live.conductor import Situation
from caller.timeline.layout import seconds_of

FRAME_S: Final = 1 / 60


def until_next_frame_s(situation: Situation) -> float:
    """Return how many seconds after this frame the next one is due: one sixtieth, or up to half of that off.

    Frames fall midway between the sixtieths counted from the countdown's start, so each new numeral comes
    equally soon after its beep, and waking a few milliseconds early or late does not miss it. A display
    that waits for its own refresh keeps its own step instead.
    """
    if situation.segment is None:
        return FRAME_S
    into_s = seconds_of(situation.sample - situation.segment.layout.countdown_start)
    return 1.5 * FRAME_S - into_s % FRAME_S
