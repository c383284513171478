"""How one run sheet is spoken: sentences turned into lines, in its language and in a second one."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from caller.clock import ClockTime, DayTime
from caller.clock.ladder import Step, step
from caller.clock.said_and_shown import Cue, Manner, Numerals, ShowReading, read_off
from caller.deciding import Side
from caller.deciding.circumstances import registers_of
from caller.deciding.decide import resting_move
from caller.hall.adapt import Delivery
from caller.languages import Phrase, Register
from caller.languages.phrases import Phrases, phrases, same
from caller.languages.reasons import Clause
from caller.lesson import Lesson
from caller.moves import Move
from caller.questions.kind import Question
from caller.runsheet import Board, Gap, Line

Slot = Callable[[Phrases], Phrase]
"""Words that each language has its own of, such as a time."""

# Pauses after a line, as multiples of the pause that the hall needs after a sentence.
SENTENCE_PAUSE = 1.0
QUESTION_PAUSE = 0.8
CHOICE_PAUSE = 0.5
REASON_PAUSE = 0.5
SLOW_PAUSE = 2.0
SHORT_PAUSE = 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class Talk:
    """What a lesson speaks: its languages and how it reads times.

    Attributes
    ----------
    first, second
        The languages; `second` says the main words again.
    registers
        How a choice is read the first and the second time.
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
    registers: tuple[Register, Register]
    delivery: Delivery
    on_offer: tuple[ClockTime, ...] = ()
    numerals: Numerals = "arabic"

    @property
    def register(self) -> Register:
        """The register that answers and reasons are given in."""
        return self.registers[0]

    @property
    def manners(self) -> tuple[Manner, ...]:
        """How the class takes times apart, the main way first."""
        manners = self.first.language.manners(self.registers)
        return tuple(read_off(each, self.numerals) for each in manners)

    def line(
        self,
        key: str,
        *,
        tone: str | None = None,
        pause: float = SENTENCE_PAUSE,
        cue: Cue | None = None,
        point_to: Side | None = None,
        language: Phrases | None = None,
        **slots: Slot,
    ) -> Line:
        """Return one sentence as a line, in the first language unless told otherwise."""
        phrase = self._phrase(key, language or self.first, slots)
        line = self.spoken(phrase, pause=pause, cue=cue, language=language)
        return replace(self.with_tone(line, tone) if tone else line, point_to=point_to)

    def main(self, key: str, *, pause: float = SENTENCE_PAUSE, **slots: Slot) -> tuple[Line, ...]:
        """Return one of the main sentences: a line in each language of the lesson."""
        languages = (self.first, self.second) if self.second else (self.first,)
        return tuple(
            self.spoken(self._phrase(key, each, slots), pause=pause, language=each) for each in languages
        )

    def spoken(
        self,
        phrase: Phrase | Clause,
        *,
        pause: float = SENTENCE_PAUSE,
        cue: Cue | None = None,
        language: Phrases | None = None,
    ) -> Line:
        """Return words as a line; `pause` is in sentence pauses of this hall."""
        return Line(
            written=phrase.written,
            speech=phrase.speech,
            language=(language or self.first).code,
            gaps=self._gaps(phrase),
            pause_s=round(pause * self.delivery.sentence_pause_s, 2),
            cue=cue,
        )

    def _gaps(self, phrase: Phrase | Clause) -> tuple[Gap, ...]:
        """Return the silences before hours and minutes; a sentence that begins with one has its pause."""
        wanted_s = {
            "hour": self.delivery.gap_before_hour_s,
            "minutes": self.delivery.gap_before_minutes_s,
        }
        gaps = (Gap(at=stop.at, seconds=wanted_s[stop.before]) for stop in phrase.stops if stop.at > 0)
        return tuple(gap for gap in gaps if gap.seconds > 0)

    def with_tone(self, line: Line, tone: str = "attention") -> Line:
        """Return a line with a tone before it, and the breath that lets the tone's echo fade."""
        return replace(line, tone=tone, breath_s=self.delivery.breath_s)

    def called(self, lines: tuple[Line, ...]) -> tuple[Line, ...]:
        """Return lines with the attention tone before the first."""
        return (self.with_tone(lines[0]), *lines[1:])

    @staticmethod
    def _phrase(key: str, language: Phrases, slots: Mapping[str, Slot]) -> Phrase:
        return language.say(key, **{name: slot(language) for name, slot in slots.items()})

    def own_words(self, text: str) -> Line:
        """Return a teacher's own words as a line."""
        return self.spoken(same(text))

    def words(self, slot: Slot) -> str:
        """Return a slot's words as shown, in the first language."""
        return slot(self.first).written

    def shown(self, time: ClockTime, *, again: bool = False) -> ShowReading:
        """Return the picture of a reading, with the numeral lit that its words name as the hour."""
        register = self.registers[1 if again else 0]
        return ShowReading(time, self.first.language.named_hour(time, register))

    def time(self, time: ClockTime, *, again: bool = False) -> Slot:
        """Return the reading of a time; `again` for the second time it is read aloud."""
        register = self.registers[1 if again else 0]

        def reading(phrases: Phrases) -> Phrase:
            # In an echo only; nobody is taught "three, three zero" without "three, one three" beside it.
            alike = any(phrases.language.confusable(time, other) for other in self.on_offer)
            if alike and register == "digital" and self.delivery.wording == "apart":
                return phrases.language.apart(time)
            return phrases.language.phrase(time, register)

        return reading


def text(words: str) -> Slot:
    """Return the same words for every language."""
    return lambda _: same(words)


def part(key: str) -> Slot:
    """Return a part of a sentence that each language has its own of."""
    return lambda phrases: phrases.part(key)


def number(n: int) -> Slot:
    """Return a number word, written as digits."""
    return lambda phrases: Phrase(written=str(n), speech=phrases.language.number(n))


def number_word(n: int) -> Slot:
    """Return a number word, written as a word too."""
    return lambda phrases: same(phrases.language.number(n))


def day_part(time: DayTime) -> Slot:
    """Return a time with its part of the day."""
    return lambda phrases: phrases.language.day_part(time)


def day_digital(time: DayTime) -> Slot:
    """Return a time on the 24-hour clock."""
    return lambda phrases: phrases.language.day_digital(time)


def digital(time: ClockTime) -> Slot:
    """Return the reading of a dial with the hour that has passed and the minutes after it."""
    return lambda phrases: phrases.language.digital(time)


def duration(minutes: int) -> Slot:
    """Return a length of time."""
    return lambda phrases: phrases.language.duration(minutes)


def move_call(move: Move) -> Slot:
    """Return what the voice says for a move, without a full stop."""
    return lambda phrases: same(move.call(phrases.code))


def move_name(move: Move) -> Slot:
    """Return a move's name."""
    return lambda phrases: same(move.name(phrases.code))


def begun_move_name(move: Move) -> Slot:
    """Return a move's name as a sentence begins with it."""

    def named(phrases: Phrases) -> Phrase:
        name = move.name(phrases.code)
        return same(name[:1].upper() + name[1:])

    return named


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """The shared facts of one run sheet."""

    lesson: Lesson
    step: Step
    talk: Talk
    resting_move: Move

    @classmethod
    def of(cls, lesson: Lesson, delivery: Delivery) -> Setting:
        """Return the setting of a lesson, spoken as its hall needs."""
        return cls(
            lesson=lesson,
            step=step(lesson.step),
            talk=Talk(
                first=phrases(lesson.language),
                second=phrases(lesson.second_language) if lesson.second_language else None,
                registers=registers_of(lesson),
                delivery=delivery,
                numerals=lesson.numerals,
            ),
            resting_move=resting_move(lesson),
        )

    def offering(self, question: Question) -> Setting:
        """Return the setting of one round, in which its readings stand beside each other."""
        times = (question.dial, question.claim, *(each.dial for each in question.wrong))
        on_offer = tuple(each for each in times if each is not None)
        return replace(self, talk=replace(self.talk, on_offer=on_offer))

    @property
    def seated(self) -> str:
        """The ending of phrases that differ for a class on chairs."""
        return "-seated" if self.lesson.seated else ""

    def resting(self) -> Board:
        """Return the board of a pause: a figure that breathes slowly."""
        return Board(layout="figure", move=self.resting_move.slug)

    def name(self, move: Move) -> str:
        """Return a move's name as shown."""
        return move.name(self.talk.first.code)
