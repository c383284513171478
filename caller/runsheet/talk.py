"""The words of a run sheet: what is to be said and shown, in the lesson's language and in its second one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import assert_never

from caller.clock import ClockTime
from caller.clock.beyond_dial import Hop
from caller.clock.ladder import Step
from caller.clock.said_and_shown import Cue, Numerals, ShowReading
from caller.deciding import DecidedLesson
from caller.hall.adapt import Delivery
from caller.languages import MODEL, Phrase, Register
from caller.languages.phrases import Phrases, phrases, same
from caller.languages.reasons import Clause, hour_of_day, reason, why_wrong
from caller.moves import Move
from caller.runsheet import Board, Call, Gap, Lane, Line, LineJump
from caller.runsheet.sayings import (
    DayReading,
    Draft,
    Fragment,
    HandsRead,
    HourOfDay,
    LaneShown,
    LengthOfTime,
    MoveWords,
    Numeral,
    Reading,
    Saying,
    Shown,
    ToSay,
    Verbatim,
    WholeSentence,
    Why,
    WhyTempting,
    length_in_symbols,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Talk:
    """How a lesson is spoken: its languages, how it reads times, and what its hall needs.

    Attributes
    ----------
    first, second
        The languages; `second` says the main words again.
    registers
        How a choice is read the first and the second time; answers and reasons are given in the first.
    delivery
        Pauses and gaps, the breath after a tone, and whether minutes that sound alike are spelled
        ("four, one five").
    on_offer
        The readings of the round that is asked: only beside its like is a reading spelled.
    numerals
        What stands on the dial.
    """

    first: Phrases
    second: Phrases | None
    step: Step
    registers: tuple[Register, Register]
    delivery: Delivery
    on_offer: tuple[ClockTime, ...] = ()
    numerals: Numerals = "arabic"

    @classmethod
    def of(cls, decided: DecidedLesson, delivery: Delivery) -> Talk:
        """Return how a lesson is spoken in a hall."""
        lesson = decided.lesson
        return cls(
            first=phrases(lesson.language),
            second=phrases(lesson.second_language) if lesson.second_language else None,
            step=decided.step,
            registers=decided.registers,
            delivery=delivery,
            numerals=lesson.numerals,
        )

    def in_words(self, drafts: Iterable[Draft], *, first: int = 1) -> tuple[Call, ...]:
        """Return calls in words, numbered from `first`."""
        return tuple(
            replace(self, on_offer=draft.on_offer)._call(number, draft)
            for number, draft in enumerate(drafts, first)
        )

    def _call(self, number: int, draft: Draft) -> Call:
        return Call(
            number=number,
            kind=draft.kind,
            part=draft.part,
            round=draft.round,
            lines=tuple(self.lines(draft.sayings)),
            board=self.board(draft.board),
            countdown=draft.countdown,
            hold_s=draft.hold_s,
            doing=draft.doing,
        )

    def lines(self, sayings: Iterable[Saying | Line]) -> Iterator[Line]:
        """Yield what is to be said as lines; a second language only where the lesson has one."""
        for saying in sayings:
            if isinstance(saying, Line):
                yield saying
            elif saying.words is None:
                yield self.line(saying, same(""), MODEL)
            elif (language := self.second if saying.second else self.first) is not None:
                for told in self._told(saying.words, language):
                    yield self.line(saying, told, language.code)

    def _told(self, words: ToSay | Why, language: Phrases) -> Iterable[Phrase | Clause]:
        """Return the sentences of one thing to say."""
        match words:
            case HandsRead(time):
                return reason(
                    time,
                    step=self.step,
                    language=language.language,
                    register=self.registers[0],
                    numerals=self.numerals,
                )
            case WhyTempting(wrong, right):
                why = why_wrong(
                    wrong,
                    right,
                    language=language.language,
                    registers=self.registers,
                    numerals=self.numerals,
                )
                return (why,)
            case HourOfDay(time):
                return hour_of_day(time, language)
            case _:
                return (self._phrase(words, language),)

    def _phrase(self, words: ToSay, language: Phrases) -> Phrase:
        spoken = language.language
        match words:
            case Verbatim(text):
                return same(text)
            case WholeSentence(key, slots):
                return language.say(key, **self._filled(slots, language))
            case Fragment():
                return self._fragment(words, language)
            case Reading(time, again, plain):
                register = self.registers[1 if again else 0]
                # In an echo only; nobody is taught "three, three zero" without "three, one three" beside it.
                alike = any(spoken.confusable(time, other) for other in self.on_offer) and not plain
                if alike and register == "digital" and self.delivery.wording == "apart":
                    return spoken.apart(time)
                return spoken.phrase(time, register)
            case Numeral(time):
                return same(spoken.numeral(time))
            case DayReading(day_time, on_24_hours):
                return spoken.day_digital(day_time) if on_24_hours else spoken.day_part(day_time)
            case LengthOfTime(minutes):
                return spoken.duration(minutes)
            case MoveWords(move, said):
                return same(_move_words(move, said, language.code))
            case _:
                assert_never(words)

    def _filled(self, slots: Mapping[str, ToSay], language: Phrases) -> dict[str, Phrase]:
        return {name: self._phrase(slot, language) for name, slot in slots.items()}

    def _fragment(self, words: Fragment, language: Phrases) -> Phrase:
        slots = self._filled(words.slots, language)
        phrase = language.part(words.key, **slots)
        if words.spoken_key:
            return replace(phrase, speech=language.part(words.spoken_key, **slots).speech)
        return same(phrase.written.lower()) if words.lower else phrase

    def line(self, saying: Saying, told: Phrase | Clause, code: str) -> Line:
        """Return one sentence of a saying as a line, with its tone and its quiet."""
        return Line(
            written=told.written,
            speech=told.speech,
            language=code,
            gaps=self._gaps(told),
            tone=saying.tone,
            # The tone's echo fades before anything is said.
            breath_s=self.delivery.breath_s if saying.tone else 0.0,
            pause_s=round(saying.pause * self.delivery.sentence_pause_s, 2),
            slot_s=saying.slot_s,
            cue=told.cue if isinstance(told, Clause) else self._cue(saying.cue),
            point_to=saying.point_to,
            doing=saying.doing,
        )

    def _gaps(self, told: Phrase | Clause) -> tuple[Gap, ...]:
        """Return the silences before hours and minutes; a sentence that begins with one has its pause."""
        wanted_s = {
            "hour": self.delivery.gap_before_hour_s,
            "minutes": self.delivery.gap_before_minutes_s,
        }
        gaps = (Gap(at=stop.at, seconds=wanted_s[stop.before]) for stop in told.stops if stop.at > 0)
        return tuple(gap for gap in gaps if gap.seconds > 0)

    def _cue(self, cue: Cue | Reading | None) -> Cue | None:
        """Return what is shown; of a reading the numeral is lit that its words name as the hour."""
        if not isinstance(cue, Reading):
            return cue
        register = self.registers[1 if cue.again else 0]
        return ShowReading(cue.time, self.first.language.named_hour(cue.time, register))

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
            move_name=self._written(MoveWords(shown.move) if shown.move and shown.named else None),
            arms=shown.arms,
            answer=shown.answer,
            progress=shown.progress,
            numerals=self.numerals,
        )

    def _lane(self, lane: LaneShown) -> Lane:
        return Lane(
            side=lane.side,
            numeral=self._written(lane.numeral),
            words=self._written(lane.words),
            move=lane.move.slug,
            move_name=self._written(MoveWords(lane.move)),
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
        return "" if words is None else self._phrase(words, self.first).written


def _move_words(move: Move, said: str, code: str) -> str:
    if said == "call":
        return move.call(code)
    name = move.name(code)
    return name[:1].upper() + name[1:] if said == "begun name" else name
