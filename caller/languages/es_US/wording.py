"""Spanish of the United States: that of Spain, but it says "veinte para las cinco"."""

from __future__ import annotations

from caller.clock import ClockTime
from caller.languages import Phrase, minutes_first, next_hour
from caller.languages.es.wording import Spanish


class AmericanSpanish(Spanish):
    """As most of Spanish-speaking America says it; the River Plate says "menos" (from memory)."""

    code = "es-US"
    name = "Español (EE. UU.)"

    def analogue(self, time: ClockTime) -> Phrase:
        """Say "veinte para las cinco", "un cuarto para las cinco", "las cuatro y cuarto"."""
        if time.minute <= 30:
            return super().analogue(time)
        rest = 60 - time.minute
        minutes = "un cuarto" if rest == 15 else self._distance(rest)
        return minutes_first(f"{minutes} para", self.hour(next_hour(time.hour)))


LANGUAGE = AmericanSpanish()
