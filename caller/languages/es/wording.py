"""Spanish."""

from __future__ import annotations

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
    "cero uno dos tres cuatro cinco seis siete ocho nueve diez once doce trece catorce quince "
    "dieciséis diecisiete dieciocho diecinueve veinte veintiuno veintidós veintitrés veinticuatro "
    "veinticinco veintiséis veintisiete veintiocho veintinueve"
)
_TENS = word_list("treinta cuarenta cincuenta sesenta setenta ochenta noventa")

# The hours at which Unicode's CLDR begins a day period in Spanish.
_PARTS = ((0, "de la madrugada"), (6, "de la mañana"), (12, "de la tarde"), (20, "de la noche"))
_NOON_AND_MIDNIGHT = {0: "medianoche", 720: "mediodía"}


class Spanish(Language):
    """Spanish: the hours are feminine ("la una"), the minutes masculine ("veintiún minutos")."""

    code = "es"
    name = "Español"

    def number(self, n: int) -> str:
        """Count: "veintiuno"."""
        check_number(n)
        if n < len(_SMALL):
            return _SMALL[n]
        tens, units = divmod(n, 10)
        return _TENS[tens - 3] + (f" y {_SMALL[units]}" if units else "")

    def hour(self, n: int) -> str:
        """Name the hour with its article: "la una", "las cuatro"."""
        check_hour(n)
        return f"{'la' if n == 1 else 'las'} {self._feminine(n)}"

    def digital(self, time: ClockTime) -> Phrase:
        """Say "las cuatro cuarenta", "las cuatro cero cinco", "las cuatro en punto"."""
        if time.minute == 0:
            return hour_first(f"{self.hour(time.hour)} en punto")
        return hour_first(self.hour(time.hour), self._minutes(time.minute))

    def analogue(self, time: ClockTime) -> Phrase:
        """Say "las cinco menos veinte", "las cuatro y cuarto", "las cuatro y media"."""
        if time.minute == 0:
            return self.digital(time)
        if time.minute <= 30:
            return hour_first(self.hour(time.hour), f"y {self._distance(time.minute)}")
        return hour_first(self.hour(next_hour(time.hour)), f"menos {self._distance(60 - time.minute)}")

    def day_digital(self, time: DayTime) -> Phrase:
        """Say "las dieciséis cuarenta", "las dieciséis horas"."""
        if time.minute:
            return hour_first(self.hour(time.hour), self._minutes(time.minute))
        # "La una horas" is no Spanish and "la una hora" would be a length of time.
        return hour_first("la una" if time.hour == 1 else f"{self.hour(time.hour)} horas")

    def day_part(self, time: DayTime) -> Phrase:
        """Say "las cinco menos veinte de la tarde"; "mediodía", "medianoche"."""
        name = _NOON_AND_MIDNIGHT.get(time.minutes)
        if name is not None:
            return same(name)
        if time.minute == 0:
            # "En punto" would come between the hour and its part of the day.
            return hour_first(f"{self.hour(time.dial.hour)} {part_of_day(time.hour, _PARTS)}")
        # "Las seis menos cuarto" is told by its six; but "las doce menos cuarto" by the half it ends.
        named = hour_told_from(time)
        part = part_of_day(time.hour if named in (0, 12) else named, _PARTS)
        return self.analogue(time.dial).then(part)

    def numeral(self, time: ClockTime) -> str:
        """Write "4:05"."""
        return f"{time.hour}:{time.minute:02d}"

    def duration(self, minutes: int) -> Phrase:
        """Say "dos horas y quince minutos"."""
        hours, rest = split_duration(minutes)
        parts = [f"{self._feminine(hours)} {'hora' if hours == 1 else 'horas'}"] if hours else []
        if rest or not hours:
            parts.append(self._count_minutes(rest))
        return same(" y ".join(parts))

    def _minutes(self, minute: int) -> str:
        return self.number(minute) if minute >= 10 else f"cero {self.number(minute)}"

    def _distance(self, minutes: int) -> str:
        if minutes == 15:
            return "cuarto"
        if minutes == 30:
            return "media"
        return self.number(minutes) if minutes % 5 == 0 else self._count_minutes(minutes)

    def _count_minutes(self, n: int) -> str:
        word = self.number(n)
        # Before a masculine noun "uno" loses its ending: un minuto, veintiún minutos, treinta y un minutos.
        if word == "veintiuno":
            word = "veintiún"
        elif n % 10 == 1 and n != 11:
            word = word.removesuffix("o")
        return f"{word} {'minuto' if n == 1 else 'minutos'}"

    def _feminine(self, n: int) -> str:
        word = self.number(n)
        return word.removesuffix("o") + "a" if n % 10 == 1 and n != 11 else word


LANGUAGE = Spanish()
