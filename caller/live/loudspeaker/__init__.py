"""From segments to sound, and what happens when the loudspeaker is lost."""

from __future__ import annotations

from typing import Protocol


class Speaker(Protocol):
    """A running stream that empties the player."""

    name: str
    underruns: int  # how often the device ran dry

    def start(self) -> None:
        """Begin to take samples; called once."""
        ...

    def heard(self, now_s: float) -> int:
        """Return the stream sample being heard at `now_s` (steady clock, seconds)."""
        ...

    def lost(self, now_s: float) -> bool:
        """Return whether the device has stopped taking samples."""
        ...

    def cut(self) -> None:
        """Stop the player and fall silent at once, whatever is buffered; then take samples again."""
        ...

    def ended(self) -> bool:
        """Return whether the device is gone for good: no waiting brings it back."""
        ...

    def rest(self) -> None:
        """Give the device silence and take no samples, until `take`; does not wait for it."""
        ...

    def plays(self, now_s: float) -> bool:
        """Return whether the resting device plays what it is given, and does not only fill its buffer."""
        ...

    def take(self) -> None:
        """Take samples again."""
        ...

    def close(self) -> None:
        """Stop and give the device back."""
        ...
