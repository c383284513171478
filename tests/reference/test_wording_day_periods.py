"""Parts of the day against Unicode CLDR's day periods, as published in Babel (BSD)."""

from __future__ import annotations

import datetime

from babel import Locale
from babel.dates import get_period_id

from caller.clock import DayTime
from caller.languages import language

WIDTHS = {"en": "wide", "es": "abbreviated", "fr": "wide", "de": "wide"}


def minutes_that_differ(code: str) -> set[int]:
    """Return the minutes of the day whose reading does not end in CLDR's words for the hour that is named."""
    each, tag = language(code), code[:2]
    names = Locale.parse(tag).day_periods["format"][WIDTHS[tag]]
    differing = set()
    for minutes in range(1440):
        time = DayTime.from_minutes(minutes)
        # Past the half hour the coming hour is named: "quarter to six" is told by its six.
        named = datetime.time((time.hour + (time.minute > 30)) % 24, time.minute if time.minute <= 30 else 0)
        period = get_period_id(named, locale=tag)
        if not f" {each.day_part(time).written}".endswith(f" {names[period]}".replace("’", "'")):
            differing.add(minutes)
    return differing


def span(first: str, last: str) -> set[int]:
    (hour, minute), (last_hour, last_minute) = (map(int, each.split(":")) for each in (first, last))
    return set(range(60 * hour + minute, 60 * last_hour + last_minute + 1))


def test_german_parts_of_the_day_are_cldr_s_but_round_noon_and_midnight() -> None:
    # The hour before noon is the forenoon's and the one after it midday's; "fünf vor zwölf nachts" is said.
    before_twelve = span("11:31", "11:59") | span("23:31", "23:59")
    assert minutes_that_differ("de") == span("12:31", "12:59") | before_twelve


def test_english_parts_of_the_day_are_cldr_s_but_round_noon_and_midnight() -> None:
    # CLDR has morning from midnight on, but children take half past twelve "in the morning" for midday; and
    # a quarter to twelve is in the morning, and at night, although its twelve is not.
    before_twelve = span("11:31", "11:59") | span("23:31", "23:59")
    assert minutes_that_differ("en-GB") == span("0:01", "0:59") | before_twelve


def test_spanish_parts_of_the_day_are_cldr_s_but_noon_and_midnight_stand_alone() -> None:
    # "Las doce menos cuarto" is told by the half of the day that it ends.
    before_twelve = span("11:31", "11:59") | span("23:31", "23:59")
    for code in ("es", "es-US"):
        assert minutes_that_differ(code) == {0, 720} | before_twelve


def test_french_parts_of_the_day_are_cldr_s_where_the_hour_is_not_noon_or_midnight() -> None:
    # From 11:31 to 12:30 and 23:31 to 0:30 a French time is counted from "midi" or "minuit", which is enough.
    near_noon, near_midnight = span("11:31", "12:30"), span("23:31", "23:59") | span("0:00", "0:30")
    assert minutes_that_differ("fr") == (near_noon | near_midnight) - {0, 720}
