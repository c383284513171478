"""One key after an answer: how many had it. Never needed, and never a score on the screen."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Final

from caller.deciding.model import LessonPart
from caller.live.keys import TALLIES, Action
from caller.record.model import USUAL_PRESENT, Judgement, Tally
from caller.record.observed import known_share, right_share
from caller.runsheet.model import Call, CallKind, RoundFacts

NOTED: Final = "Noted."
NOTED_S: Final = 2.0
JOIN_S: Final = 1.5
"""Two digits pressed within this time are one number."""

_MOST_MISSED: Final = 40

# A window that was held up may never meet the answer itself, but what comes after it.
_ANSWERED: Final[Collection[CallKind]] = frozenset({"answer", "reason", "catch-up", "breath"})
_JUDGEMENTS: Final[dict[Action, Judgement]] = {
    Action.MOST: "most",
    Action.HALF: "half",
    Action.FEW: "few",
}

RoundKey = tuple[int, LessonPart]


def answered_round(call: Call) -> RoundKey | None:
    """Return the round whose answer is out once `call` is heard; None before that, and outside rounds."""
    if call.round is None or call.kind not in _ANSWERED:
        return None
    # What is taught again begins with a reason, before its own clock is asked for.
    if call.part == "reteach" and call.kind == "reason" and not call.board.answer:
        return None
    return call.round, call.part


@dataclass(frozen=True, slots=True)
class Told:
    """A tally, and the round that it is about."""

    round: RoundKey
    tally: Tally


class TallyTaker:
    """Knows which round a tally would be about, and makes tallies of key presses."""

    def __init__(self) -> None:
        self._about: RoundKey | None = None
        self._told = False
        self._digits = ""
        self._digits_s = float("-inf")

    @property
    def about(self) -> RoundKey | None:
        """The round that a tally would be about now, if any."""
        return self._about

    @property
    def waiting(self) -> bool:
        """Whether a presenter's buttons mean a tally now: only the first time."""
        return self._about is not None and not self._told

    def hear(self, call: Call) -> None:
        """Take note of the call being heard."""
        key = answered_round(call)
        if key is None:
            # A teacher who looks round the hall is late: a tally counts until the next question.
            if call.kind != "ready":
                self._about = None
        elif key != self._about:
            self._about, self._told, self._digits = key, False, ""

    def press(self, action: Action) -> Told | None:
        """Return what a tally key tells; None where there is nothing to tell of."""
        if action not in TALLIES or self._about is None:
            return None
        self._told = True
        return Told(self._about, Tally(judgement=_JUDGEMENTS[action]))

    def digit(self, digit: int, now_s: float) -> Told | None:
        """Return what a digit tells: so many missed it; a second one soon after makes a larger number."""
        if self._about is None:
            return None
        joined = self._digits + str(digit) if now_s - self._digits_s <= JOIN_S else ""
        self._digits = joined if joined and int(joined) <= _MOST_MISSED else str(digit)
        self._digits_s = now_s
        self._told = True
        return Told(self._about, Tally(missed=int(self._digits)))


def few_had_it(tally: Tally, facts: RoundFacts, present: int = USUAL_PRESENT) -> bool:
    """Tell whether a round is worth teaching again at once: few had it, or no more than by guessing."""
    if tally.judgement is not None:
        return tally.judgement == "few"
    low, high = right_share(tally, present)
    return known_share((low + high) / 2, 1.0 / (1 + max(len(facts.wrong), 1))) == 0.0


def noted(tally: Tally) -> str:
    """Return what the screen answers: the same for every judgement; a typed number is shown to its typer."""
    return NOTED if tally.missed is None else f"{NOTED} {tally.missed}"
