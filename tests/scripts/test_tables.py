"""A name with one slip of the finger in it is known again."""

from __future__ import annotations

import string

from hypothesis import given
from hypothesis import strategies as st

from caller.moves import catalogue
from caller.scripts.tables import nearest

NAMES = tuple(catalogue())


@st.composite
def slips(draw: st.DrawFn) -> tuple[str, str]:
    """A name, and the same with a letter left out, put in, taken for another, or changed for the next.

    These are the four slips of Damerau, "A technique for computer detection and correction of spelling
    errors", Communications of the ACM 7 (1964): over four in five of all that he saw.
    """
    name = draw(st.sampled_from(NAMES))
    place = draw(st.integers(0, len(name) - 2))
    letter = draw(st.sampled_from(string.ascii_lowercase))
    before, here, after, rest = name[:place], name[place], name[place + 1], name[place + 2 :]
    return name, draw(
        st.sampled_from(
            [
                before + after + rest,
                before + letter + here + after + rest,
                before + letter + after + rest,
                before + after + here + rest,
            ]
        )
    )


@given(slips())
def test_a_slip_is_told_from_every_other_name(case: tuple[str, str]) -> None:
    name, slip = case
    assert nearest(slip, NAMES) == name


def test_what_is_like_none_names_none_and_of_two_alike_the_first_is_named() -> None:
    assert nearest("zzzz", NAMES) is None
    assert nearest("", NAMES) is None
    assert nearest("squats", ()) is None
    assert nearest("left", ("lift", "loft")) == "lift"
    assert nearest("left", ("loft", "lift")) == "loft"


def test_a_whole_page_written_for_a_name_is_answered_at_once() -> None:
    assert nearest("squats" + 100_000 * " and squats", NAMES) is None
