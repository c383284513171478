"""English: the British wording, and the class that American wording shares."""

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
    minutes_first,
    next_hour,
    part_of_day,
    same,
    split_duration,
    word_list,
)

_SMALL = word_list(
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen "
    "sixteen seventeen eighteen nineteen"
)
_TENS = word_list("twenty thirty forty fifty sixty seventy eighty ninety")

# The hours at which Unicode's CLDR begins a day period in English.
_PARTS = ((0, "in the morning"), (12, "in the afternoon"), (18, "in the evening"), (21, "at night"))
_NOON_AND_MIDNIGHT = {0: "midnight", 720: "noon"}


class English(Language):
    """English; the two countries differ in the word after a quarter and in how they tell day parts."""

    # Only the ending tells these apart, and a hall's echo covers endings. 16 to 19 have no partner among the
    # minutes of an hour, but they end alike and are spelled out with the rest.
    confusable_minutes = frozenset(frozenset(pair) for pair in ((13, 30), (14, 40), (15, 50)))
    _spelled_out = frozenset((13, 14, 15, 16, 17, 18, 19, 30, 40, 50))

    def __init__(self, *, code: str, name: str, past: str, half_day: bool) -> None:
        self.code = code
        self.name = name
        self._past = past
        self._half_day = half_day

    def number(self, n: int) -> str:
        """Count: "twenty-one"."""
        check_number(n)
        if n < len(_SMALL):
            return _SMALL[n]
        tens, units = divmod(n, 10)
        return _TENS[tens - 2] + (f"-{_SMALL[units]}" if units else "")

    def hour(self, n: int) -> str:
        """Name the hour by its number: "four"."""
        check_hour(n)
        return self.number(n)

    def digital(self, time: ClockTime) -> Phrase:
        """Say "four forty", "four oh five", "four o'clock"."""
        if time.minute == 0:
            return hour_first(f"{self.number(time.hour)} o'clock")
        return hour_first(self.number(time.hour), self._minutes(time.minute))

    def analogue(self, time: ClockTime) -> Phrase:
        """Say "twenty to five", "quarter past four", "seven minutes past four"."""
        hour, minute = time.hour, time.minute
        if minute == 0:
            return self.digital(time)
        if minute == 30:
            return minutes_first("half past", self.number(hour))
        if minute < 30:
            return minutes_first(f"{self._distance(minute)} {self._past}", self.number(hour))
        return minutes_first(f"{self._distance(60 - minute)} to", self.number(next_hour(hour)))

    def day_digital(self, time: DayTime) -> Phrase:
        """Say "sixteen forty", "oh six fifty", "sixteen hundred hours"."""
        # Timetable and radio habit: a leading zero is said, "oh six fifty", and midnight's is "zero zero".
        hour = self.number(time.hour)
        if time.hour == 0:
            hour = "zero" if time.minute == 0 else "zero zero"
        elif time.hour < 10:
            hour = f"oh {hour}"
        minutes = self._minutes(time.minute) if time.minute else "hundred hours"
        # One word for nought is enough: "zero zero zero five", never "zero zero oh five".
        return hour_first(hour, minutes.replace("oh ", "zero ") if time.hour == 0 else minutes)

    def day_part(self, time: DayTime) -> Phrase:
        """Say "twenty to five in the afternoon", in the US "four forty p.m."; "noon", "midnight"."""
        name = _NOON_AND_MIDNIGHT.get(time.minutes)
        if name is not None:
            return same(name)
        if not self._half_day:
            # "Quarter to six" is told by its six; but a quarter to twelve is still in the morning.
            named = hour_told_from(time)
            part = part_of_day(time.hour if named in (0, 12) else named, _PARTS)
            # "Half past twelve in the morning" would be taken for the middle of the day.
            if time.hour == 0:
                part = "at night"
            return self.analogue(time.dial).then(part)
        hour = self.number(time.dial.hour)
        reading = hour_first(hour, self._minutes(time.minute) if time.minute else "")
        letter = "a" if time.hour < 12 else "p"
        # On espeak-ng "a m" begins like the article, and "a.m." swallows the pause of a comma after it.
        return replace(reading.then(f"{letter}.m."), speech=f"{reading.speech} {letter.upper()}M")

    def numeral(self, time: ClockTime) -> str:
        """Write "4:05"."""
        return f"{time.hour}:{time.minute:02d}"

    def duration(self, minutes: int) -> Phrase:
        """Say "two hours fifteen minutes"."""
        hours, rest = split_duration(minutes)
        parts = [self._count(hours, "hour")] if hours else []
        if rest or not hours:
            parts.append(self._count(rest, "minute"))
        return same(" ".join(parts))

    def apart(self, time: ClockTime) -> Phrase:
        """Say "four, one five" for 4:15, and "four, five zero" for the 4:50 it is misheard as."""
        if time.minute not in self._spelled_out:
            return self.digital(time)
        tens, units = divmod(time.minute, 10)
        hour, digits = self.number(time.hour), f"{self.number(tens)} {self.number(units)}"
        # The comma is a pause in which the echo dies. Measured with espeak-ng and pocketsphinx, understood
        # of 120 such readings: ringing for 1.5 s, 50, without the pause 22, plain 22; dry, 111, 120 and 87.
        return hour_first(f"{hour},", digits)

    def _minutes(self, minute: int) -> str:
        return self.number(minute) if minute >= 10 else f"oh {self.number(minute)}"

    def _distance(self, minutes: int) -> str:
        if minutes == 15:
            return "quarter"
        return self.number(minutes) if minutes % 5 == 0 else self._count(minutes, "minute")

    def _count(self, n: int, unit: str) -> str:
        return f"{self.number(n)} {unit if n == 1 else unit + 's'}"


LANGUAGE = English(code="en-GB", name="English (UK)", past="past", half_day=False)
