"""The kinds of question, one module each; all come down to the same plain data."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from caller.lesson.model import QuestionKind
from caller.runsheet.questions.base import Ask, Asked, Choice
from caller.runsheet.questions.be_the_clock import ask_be_the_clock
from caller.runsheet.questions.day_part import ask_day_part
from caller.runsheet.questions.elapsed import ask_elapsed
from caller.runsheet.questions.find import ask_find
from caller.runsheet.questions.is_it_so import ask_is_it_so
from caller.runsheet.questions.read import ask_read

__all__ = ["QUESTIONS", "Ask", "Asked", "Choice"]

QUESTIONS: Mapping[QuestionKind, Callable[[Ask], Asked]] = MappingProxyType(
    {
        "read": ask_read,
        "find": ask_find,
        "later": ask_elapsed,
        "earlier": ask_elapsed,
        "is-it-so": ask_is_it_so,
        "be-the-clock": ask_be_the_clock,
        "day-part": ask_day_part,
    }
)
