"""The kinds of question: one object each; what its module lists is a kind that a script may name."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from caller.questions.kind import QuestionKind
from caller.questions.on_the_dial import ON_THE_DIAL
from caller.questions.with_time import WITH_TIME

KINDS_OF_QUESTION: Final[tuple[QuestionKind, ...]] = (*ON_THE_DIAL, *WITH_TIME)
"""Every kind, in the order in which they are listed to a teacher."""

_BY_CODE: Final[Mapping[str, QuestionKind]] = MappingProxyType(
    {kind.code: kind for kind in KINDS_OF_QUESTION}
)
QUESTION_CODES: Final = tuple(_BY_CODE)


def question_kind(code: str) -> QuestionKind:
    """Return the kind with this code, which a script has been checked to name."""
    return _BY_CODE[code]
