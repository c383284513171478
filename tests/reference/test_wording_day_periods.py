"""Parts of the day against Unicode CLDR's day periods, as published in Babel (BSD)."""

from __future__ import annotations

import datetime

from babel import Locale
from babel.dates import get_period_id

from caller.clock.times import DayTime
from caller.languages import language

WIDTHS = {"en": "wide", "es": "abbreviated", "fr": "wide", "de": "wide"}


def minutes_that_differ(code: str) -> set[int]:
    """Return the minutes of the day whose reading does not end in CLDR's words for that minute."""
    each, tag = language(code), code[:2]
    names = Locale.parse(tag).day_periods["format"][WIDTHS[tag]]
    differing = set()
    for minutes in range(1440):
        time = DayTime.from_minutes(minutes)
        period = get_period_id(datetime.time(time.hour, time.minute), locale=tag)
        if not each.day_part(time).written.endswith(names[period].replace("’", "'")):
            differing.add(minutes)
    return differing


def test_german_parts_of_the_day_are_cldr_s() -> None:
    assert minutes_that_differ("de") == set()


def test_english_parts_of_the_day_are_cldr_s_but_for_the_first_hour() -> None:
    # CLDR has morning from midnight on, but children take half past twelve "in the morning" for midday.
    assert minutes_that_differ("en-GB") == set(range(1, 60))


def test_spanish_parts_of_the_day_are_cldr_s_but_noon_and_midnight_stand_alone() -> None:
    assert minutes_that_differ("es") == {0, 720}


def test_french_parts_of_the_day_are_cldr_s_where_the_hour_is_not_noon_or_midnight() -> None:
    # From 11:31 to 12:30 and 23:31 to 0:30 a French time is counted from "midi" or "minuit", which is enough.
    near_noon, near_midnight = set(range(691, 751)), {minutes % 1440 for minutes in range(1411, 1471)}
    assert minutes_that_differ("fr") == (near_noon | near_midnight) - {0, 720}
