"""A run sheet put in words: what is to be said and shown, in the lesson's language and in its second one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Final

from caller.clock.beyond_dial import Hop
from caller.clock.said_and_shown import MinuteCount
from caller.deciding import DecidedLesson
from caller.hall.adapt import Delivery
from caller.languages import MODEL, Phrase, Tune
from caller.languages.phrases import MoveWords, Numeral, Phrases, Reading, Speaking, ToSay, phrases, same
from caller.languages.reasons import Clause, told
from caller.runsheet import Board, Call, CallKind, Gap, Lane, Line, LineJump
from caller.runsheet.sayings import Draft, LaneShown, Saying, Shown, length_in_symbols

_TUNES: Final[Mapping[CallKind, Tune]] = {
    "question": "ask",
    "choices": "offer",
    "move": "call",
    "time-up": "call",
    "answer": "answer",
    "reason": "reason",
    "breath": "calm",
    "close": "calm",
}


def plain_line(spoken: Phrases, sentence: str) -> Line:
    """Return the sentence of this name as a line, nothing before it and no pause after it."""
    phrase = spoken.say(sentence)
    return Line(written=phrase.written, speech=phrase.speech, language=spoken.code, pause_s=0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Talk:
    """How a lesson is spoken in its hall.

    Attributes
    ----------
    first, second
        The languages; `second` says the main words again.
    delivery
        Pauses and gaps, the breath after a tone, and whether minutes that sound alike are spelled.
    """

    first: Phrases
    second: Phrases | None = None
    speaking: Speaking
    delivery: Delivery

    @classmethod
    def of(cls, decided: DecidedLesson, delivery: Delivery) -> Talk:
        """Return how a lesson is spoken in a hall."""
        lesson = decided.lesson
        return cls(
            first=phrases(lesson.language),
            second=phrases(lesson.second_language) if lesson.second_language else None,
            speaking=Speaking(step=decided.step, registers=decided.registers, numerals=lesson.numerals),
            delivery=delivery,
        )

    def worded(self, drafts: Iterable[Draft], *, first: int = 1) -> tuple[Call, ...]:
        """Return calls in words, numbered from `first`."""
        calls: list[Call] = []
        for draft in drafts:
            calls.append(self._call_of(draft, number=first + len(calls)))
        return tuple(calls)

    def _call_of(self, draft: Draft, *, number: int) -> Call:
        # In an echo only, and only beside its like, is a reading spelled.
        beside = draft.on_offer if self.delivery.wording == "apart" else ()
        talk = replace(self, speaking=replace(self.speaking, spelled_beside=beside))
        return Call(
            number=number,
            kind=draft.kind,
            part=draft.part,
            round=draft.round,
            lines=tuple(talk.lines(draft.sayings, _TUNES.get(draft.kind, "tell"))),
            board=talk.board(draft.board),
            countdown=draft.countdown,
            hold_s=draft.hold_s,
            doing=draft.doing,
        )

    def lines(self, sayings: Iterable[Saying | Line], tune: Tune = "tell") -> Iterator[Line]:
        """Yield what is to be said as lines; a second language only where the lesson has one."""
        for saying in sayings:
            if isinstance(saying, Line):
                yield saying
            elif saying.words is None:
                yield self.line(saying, same(""), MODEL, tune)
            elif (language := self.second if saying.second else self.first) is not None:
                for sentence in told(saying.words, language, self.speaking):
                    yield self.line(saying, sentence, language.code, tune)

    def line(self, saying: Saying, sentence: Phrase | Clause, code: str, tune: Tune) -> Line:
        """Return one sentence of a saying as a line, with its tone and its quiet, said as its call is."""
        cue = sentence.cue if isinstance(sentence, Clause) else saying.cue
        return Line(
            written=sentence.written,
            speech=sentence.speech,
            language=code,
            gaps=self._gaps(sentence),
            tone=saying.tone,
            # The tone's echo fades before anything is said.
            breath_s=self.delivery.breath_s if saying.tone else 0.0,
            pause_s=round(saying.pause * self.delivery.sentence_pause_s, 2),
            slot_s=saying.slot_s,
            cue=self.first.reading_shown(cue, self.speaking) if isinstance(cue, Reading) else cue,
            point_to=saying.point_to,
            doing=saying.doing,
            tune="count" if isinstance(cue, MinuteCount) else saying.tune or tune,
        )

    def _gaps(self, sentence: Phrase | Clause) -> tuple[Gap, ...]:
        """Return the silences before hours and minutes; a sentence that begins with one has its pause."""
        wanted_s = {
            "hour": self.delivery.gap_before_hour_s,
            "minutes": self.delivery.gap_before_minutes_s,
        }
        gaps = (Gap(at=stop.at, seconds=wanted_s[stop.before]) for stop in sentence.stops if stop.at > 0)
        return tuple(gap for gap in gaps if gap.seconds > 0)

    def board(self, shown: Shown) -> Board:
        """Return what stands on the screen, in the first language."""
        return Board(
            layout=shown.layout,
            title=self._written(shown.title),
            points=tuple(map(self._written, shown.points)),
            pictures=shown.pictures,
            dials=shown.dials,
            lanes=tuple(map(self._lane, shown.lanes)),
            asked=self._written(shown.asked),
            asked_words=self._written(shown.asked_words),
            jumps=tuple(self._jump(each, back=shown.back) for each in shown.jumps),
            day_time=shown.day_time,
            move=shown.move.slug if shown.move else None,
            move_name=self._written(MoveWords(shown.move.slug) if shown.move and shown.named else None),
            arms=shown.arms,
            answer=shown.answer,
            progress=shown.progress,
            numerals=self.speaking.numerals,
        )

    def _lane(self, lane: LaneShown) -> Lane:
        return Lane(
            side=lane.side,
            numeral=self._written(lane.numeral),
            words=self._written(lane.words),
            move=lane.move.slug,
            move_name=self._written(MoveWords(lane.move.slug)),
            dial=lane.dial,
        )

    def _jump(self, hop: Hop, *, back: bool) -> LineJump:
        return LineJump(
            minutes=hop.minutes,
            back=back,
            length=length_in_symbols(hop.minutes),
            begins=self._written(Numeral(hop.start)),
            ends=self._written(Numeral(hop.end)),
        )

    def _written(self, words: ToSay | None) -> str:
        return "" if words is None else self.first.words(words, self.speaking).written
