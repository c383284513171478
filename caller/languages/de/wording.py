"""German."""

from __future__ import annotations

from caller.clock import ClockTime, DayTime
from caller.languages import (
    Language,
    Phrase,
    check_hour,
    check_number,
    hour_first,
    hour_told_from,
    minutes_first,
    next_hour,
    part_of_day,
    same,
    split_duration,
    word_list,
)

_SMALL = word_list(
    "null eins zwei drei vier fünf sechs sieben acht neun zehn elf zwölf dreizehn vierzehn fünfzehn "
    "sechzehn siebzehn achtzehn neunzehn"
)
_TENS = word_list("zwanzig dreißig vierzig fünfzig sechzig siebzig achtzig neunzig")

# The hours at which Unicode's CLDR begins a day period in German.
_PARTS = (
    (0, "nachts"),
    (5, "morgens"),
    (10, "vormittags"),
    (12, "mittags"),
    (13, "nachmittags"),
    (18, "abends"),
)


class German(Language):
    """German: the half hour is named after the coming hour ("halb fünf" is 4:30).

    Between twenty past and twenty to, minutes are counted from that half hour, as at five-and-twenty past
    ("fünf vor halb fünf"), so nobody counts above twenty. Twenty past itself is "zwanzig nach vier", which
    counts from the hour like the other fives; "zehn vor halb fünf" and the eastern and southern
    "viertel fünf" are understood by the listener and never said.
    """

    code = "de"
    name = "Deutsch"
    counts_from_half = True
    # "-zehn" and "-zig" are the weak syllables of their words, as in English.
    confusable_minutes = frozenset(frozenset(pair) for pair in ((13, 30), (14, 40), (15, 50)))

    def number(self, n: int) -> str:
        """Count: "einundzwanzig"."""
        check_number(n)
        if n < len(_SMALL):
            return _SMALL[n]
        tens, units = divmod(n, 10)
        ten = _TENS[tens - 2]
        return f"{_joined(_SMALL[units])}und{ten}" if units else ten

    def hour(self, n: int) -> str:
        """Name the hour as it stands alone: "vier", "eins"."""
        check_hour(n)
        return self.number(n)

    def digital(self, time: ClockTime) -> Phrase:
        """Say "vier Uhr vierzig", "ein Uhr fünf"."""
        return self._digital(time.hour, time.minute)

    def analogue(self, time: ClockTime) -> Phrase:
        """Say "zwanzig vor fünf", "Viertel nach vier", "halb fünf", "fünf vor halb fünf"."""
        minute, coming = time.minute, self.number(next_hour(time.hour))
        if minute == 0:
            return self.digital(time)
        if minute == 30:
            return minutes_first("halb", coming)
        if minute <= 20:
            return minutes_first(f"{self._distance(minute)} nach", self.number(time.hour))
        if minute >= 40:
            return minutes_first(f"{self._distance(60 - minute)} vor", coming)
        side = "vor" if minute < 30 else "nach"
        return minutes_first(f"{self._distance(abs(minute - 30))} {side} halb", coming)

    def day_digital(self, time: DayTime) -> Phrase:
        """Say "sechzehn Uhr vierzig", "null Uhr fünf"."""
        return self._digital(time.hour, time.minute)

    def day_part(self, time: DayTime) -> Phrase:
        """Say "zwanzig vor fünf nachmittags", "zwölf Uhr mittags", "Mitternacht"."""
        if time.minutes == 0:
            return same("Mitternacht")
        # "Fünf vor sechs" is told by its six; but the hour before noon is the forenoon's, the next midday's.
        named = time.hour if time.hour in (11, 12) else hour_told_from(time)
        return self.analogue(time.dial).then(part_of_day(named, _PARTS))

    def numeral(self, time: ClockTime) -> str:
        """Write "4:05"."""
        return f"{time.hour}:{time.minute:02d}"

    def duration(self, minutes: int) -> Phrase:
        """Say "zwei Stunden fünfzehn Minuten"."""
        hours, rest = split_duration(minutes)
        parts = [self._count(hours, "Stunde")] if hours else []
        if rest or not hours:
            parts.append(self._count(rest, "Minute"))
        return same(" ".join(parts))

    def _digital(self, hour: int, minute: int) -> Phrase:
        return hour_first(f"{_joined(self.number(hour))} Uhr", self.number(minute) if minute else "")

    def _distance(self, minutes: int) -> str:
        if minutes == 15:
            return "Viertel"
        return self.number(minutes) if minutes % 5 == 0 else self._count(minutes, "Minute")

    def _count(self, n: int, unit: str) -> str:
        return f"eine {unit}" if n == 1 else f"{self.number(n)} {unit}n"


def _joined(word: str) -> str:
    """Drop the ending of "eins" where another word leans on it: ein Uhr, einundzwanzig."""
    return "ein" if word == "eins" else word


LANGUAGE = German()
