"""The kinds of question: one object each, and this is where they are counted."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from caller.questions.kind import QuestionKind
from caller.questions.on_the_dial import BE_THE_CLOCK, FIND, IS_IT_SO, READ
from caller.questions.with_time import DAY_PART, EARLIER, HALF_OF_DAY, HOW_LONG, LATER

KINDS_OF_QUESTION: Final[tuple[QuestionKind, ...]] = (
    READ,
    FIND,
    LATER,
    EARLIER,
    HOW_LONG,
    IS_IT_SO,
    BE_THE_CLOCK,
    DAY_PART,
    HALF_OF_DAY,
)
"""Every kind, in the order in which they are listed to a teacher."""

_BY_CODE: Final[Mapping[str, QuestionKind]] = MappingProxyType(
    {kind.code: kind for kind in KINDS_OF_QUESTION}
)
QUESTION_CODES: Final = tuple(_BY_CODE)


def question_kind(code: str) -> QuestionKind:
    """Return the kind with this code, which a script has been checked to name."""
    return _BY_CODE[code]
