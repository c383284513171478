"""French."""

from __future__ import annotations

from dataclasses import replace

from caller.clock import ClockTime, DayTime
from caller.languages import (
    Language,
    Phrase,
    check_hour,
    check_number,
    hour_first,
    hour_told_from,
    next_hour,
    part_of_day,
    same,
    split_duration,
    word_list,
)

_SMALL = word_list(
    "zéro un deux trois quatre cinq six sept huit neuf dix onze douze treize quatorze quinze seize "
    "dix-sept dix-huit dix-neuf"
)
_TENS = {20: "vingt", 30: "trente", 40: "quarante", 50: "cinquante", 60: "soixante", 80: "quatre-vingt"}

# The hours at which Unicode's CLDR begins a day period in French.
_PARTS = ((0, "du matin"), (12, "de l'après-midi"), (18, "du soir"))
_NO_BREAK_SPACE = "\u00a0"


class French(Language):
    """French: hours and minutes are both feminine ("vingt et une").

    Twelve is "midi" wherever minutes are counted from it, as by day; "minuit" is said where the part of the
    day is known, and "douze heures trente" where hours and minutes are read off.
    """

    code = "fr"
    name = "Français"

    def number(self, n: int) -> str:
        """Count: "vingt et un"."""
        check_number(n)
        if n < len(_SMALL):
            return _SMALL[n]
        # Seventy and ninety count on from sixty and eighty: soixante-dix, quatre-vingt-onze.
        base = n // 20 * 20 if n >= 60 else n // 10 * 10
        rest = n - base
        if rest == 0:
            return "quatre-vingts" if base == 80 else _TENS[base]
        joint = " et " if rest in (1, 11) and base != 80 else "-"
        return f"{_TENS[base]}{joint}{_SMALL[rest]}"

    def hour(self, n: int) -> str:
        """Name the hour by its number, feminine: "quatre", "une"."""
        check_hour(n)
        return self._feminine(n)

    def digital(self, time: ClockTime) -> Phrase:
        """Say "quatre heures quarante"."""
        return hour_first(self._hours(time.hour), self._minutes(time.minute))

    def analogue(self, time: ClockTime) -> Phrase:
        """Say "cinq heures moins vingt", "quatre heures et quart", "quatre heures et demie"."""
        after = time.minute <= 30
        named = time.hour if after else next_hour(time.hour)
        if named == 12:
            # Nobody counts from "douze heures": it is "midi et demi", masculine.
            return hour_first("midi", self._relative(time.minute, "demi"))
        return hour_first(self._hours(named), self._relative(time.minute, "demie"))

    def day_digital(self, time: DayTime) -> Phrase:
        """Say "seize heures quarante"."""
        hours, minutes = self._hours(time.hour), self._minutes(time.minute)
        # The liaison in "vingt heures" is lost on espeak-ng unless a mute e brings out the t.
        spoken = hour_first(hours.replace("vingt heures", "vingte heures"), minutes)
        return replace(spoken, written=hour_first(hours, minutes).written)

    def day_part(self, time: DayTime) -> Phrase:
        """Say "cinq heures moins vingt de l'après-midi", "midi et demi", "minuit moins le quart"."""
        named = hour_told_from(time)
        if named in (0, 12):
            # Both words are masculine, hence "midi et demi".
            return hour_first("minuit" if named == 0 else "midi", self._relative(time.minute, "demi"))
        return self.analogue(time.dial).then(part_of_day(named, _PARTS))

    def numeral(self, time: ClockTime) -> str:
        """Write "4 h 05"."""
        # A line must not end between the digits and their "h".
        hour = f"{time.hour}{_NO_BREAK_SPACE}h"
        return f"{hour}{_NO_BREAK_SPACE}{time.minute:02d}" if time.minute else hour

    def duration(self, minutes: int) -> Phrase:
        """Say "deux heures et quinze minutes"."""
        hours, rest = split_duration(minutes)
        parts = [self._hours(hours)] if hours else []
        if rest or not hours:
            parts.append(f"{self._feminine(rest)} {'minutes' if rest > 1 else 'minute'}")
        return same(" et ".join(parts))

    def _hours(self, n: int) -> str:
        return f"{self._feminine(n)} {'heures' if n > 1 else 'heure'}"

    def _minutes(self, minute: int) -> str:
        return self._feminine(minute) if minute else ""

    def _relative(self, minute: int, half: str) -> str:
        if minute > 30:
            return f"moins {'le quart' if minute == 45 else self._feminine(60 - minute)}"
        return {15: "et quart", 30: f"et {half}"}.get(minute, self._minutes(minute))

    def _feminine(self, n: int) -> str:
        word = self.number(n)
        return word + "e" if word == "un" or word.endswith((" un", "-un")) else word


LANGUAGE = French()
