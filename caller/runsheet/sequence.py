"""The sequencer: a lesson in, a run sheet out, everything decided and nothing left to chance twice."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType

from caller.clock.ladder import step, times_at
from caller.clock.times import ClockError, ClockTime, DayTime
from caller.clock.wrong import MINUTE_MARK_DEG
from caller.errors import ScriptError
from caller.hall.adapt import DEFAULT_DELIVERY, Delivery
from caller.languages import Register
from caller.languages.phrases import phrases
from caller.lesson.model import Lesson, Round
from caller.moves.pairs import Conditions
from caller.runsheet.closing import closing
from caller.runsheet.draft import numbered
from caller.runsheet.model import Part, RoundFacts, RunSheet, Side, VoicePlan
from caller.runsheet.opening import opening, worked_example
from caller.runsheet.questions import QUESTIONS, Ask, Asked
from caller.runsheet.rounds import RoundPlan, facts_of, round_calls
from caller.runsheet.setting import Setting
from caller.runsheet.sides import kept_free_of_runs, side_sequence
from caller.runsheet.streams import Streams
from caller.runsheet.talk import Talk

_REGISTERS: Mapping[str, tuple[Register, Register]] = MappingProxyType(
    {
        "analogue": ("analogue", "analogue"),
        "digital": ("digital", "digital"),
        "both": ("analogue", "digital"),
    }
)


def make_run_sheet(
    lesson: Lesson,
    *,
    delivery: Delivery = DEFAULT_DELIVERY,
    conditions: Conditions | None = None,
    confused: Mapping[str, float] = MappingProxyType({}),
    minimum_difference_deg: float = MINUTE_MARK_DEG,
) -> RunSheet:
    """Return the lesson with everything decided; the same lesson gives the same run sheet.

    Parameters
    ----------
    delivery
        How the caller speaks in this hall.
    conditions
        What limits the moves; the lesson's own space, shoes and floor if left out.
    confused
        How much this class shows each mix-up, from 0 to 1.
    minimum_difference_deg
        The smallest difference between two dials that the last row can tell.

    Raises
    ------
    ScriptError
        If a round cannot be played as it is written.
    UserError
        If no moves fit the hall and the class.
    """
    setting = setting_of(
        lesson,
        delivery=delivery,
        conditions=conditions,
        confused=confused,
        minimum_difference_deg=minimum_difference_deg,
    )
    times = _times(setting)
    drafts = list(opening(setting))
    if not lesson.worked_example.skip:
        drafts += worked_example(
            setting, lesson.worked_example.time or _spare_time(setting, "example", times)
        )
    if not lesson.practice.skip:
        drafts += round_calls(setting, _practice(setting, times))
    facts: list[RoundFacts] = []
    for plan in _rounds(setting, times):
        drafts += round_calls(setting, plan)
        facts.append(facts_of(setting, plan))
    drafts += closing(setting)
    return RunSheet(
        title=lesson.title,
        class_name=lesson.class_name,
        language=lesson.language,
        seed=lesson.seed,
        voice=voice_plan(lesson, delivery),
        calls=numbered(drafts),
        rounds=tuple(facts),
        quiet_gate_s=lesson.quiet_gate_seconds,
    )


def conditions_of(lesson: Lesson) -> Conditions:
    """Return what a lesson says about its hall and class, as far as it limits moves."""
    return Conditions(
        space_radius_m=lesson.space_m / 2, shod=lesson.shod, wet=lesson.wet, chairs=lesson.seated
    )


def _talk(lesson: Lesson, delivery: Delivery) -> Talk:
    return Talk(
        first=phrases(lesson.language),
        second=phrases(lesson.second_language) if lesson.second_language else None,
        registers=_REGISTERS[lesson.register],
        delivery=delivery,
    )


def _times(setting: Setting) -> tuple[ClockTime | DayTime, ...]:
    """Return the time of every round: the script's own, else one of the step's that no round has yet."""
    lesson = setting.lesson
    taken: list[ClockTime | DayTime] = [each.time for each in lesson.rounds if each.time is not None]
    times: list[ClockTime | DayTime] = []
    for number, each in enumerate(lesson.rounds, start=1):
        time = each.time
        if time is None:
            time = _spare_time(setting, number, taken)
            if each.kind == "day-part":
                half = setting.streams.of("half", number).choice((0, 720))
                time = DayTime.from_minutes(time.minutes + half)
            taken.append(time)
        times.append(time)
    return tuple(times)


def _spare_time(setting: Setting, name: int | str, taken: Sequence[ClockTime | DayTime]) -> ClockTime:
    """Return a time of the lesson's step that is not `taken`, if there is one."""
    dials = {each.dial if isinstance(each, DayTime) else each for each in taken}
    times = times_at(step(setting.lesson.step))
    # The time is drawn from all of the step's, so that an edited round does not move the others.
    random = setting.streams.of("time", name)
    drawn = random.sample(times, len(times))
    return next((time for time in drawn if time not in dials), drawn[0])


def _practice(setting: Setting, times: Sequence[ClockTime | DayTime]) -> RoundPlan:
    lesson = setting.lesson
    time = lesson.practice.time or _spare_time(setting, "practice", times)
    each = Round(time=time, wrong=lesson.practice.wrong, moves=lesson.practice.moves)
    asked = ask_round(setting, each, "practice", time, used=())
    sides = side_sequence(setting.streams.of("sides", "practice"), len(asked.choices), 1)
    moves = each.moves or setting.pick_moves("practice", len(asked.choices), (), calm=False)
    return RoundPlan(
        section="practice",
        number=None,
        total=len(lesson.rounds),
        question=each.kind,
        asked=asked,
        side=sides[0],
        moves=moves,
        think_s=lesson.think_seconds,
        catch_up="none",
    )


def _rounds(setting: Setting, times: Sequence[ClockTime | DayTime]) -> Iterator[RoundPlan]:
    lesson = setting.lesson
    used: list[frozenset[str]] = []
    sides: list[Side] = []
    previous: tuple[str, ...] = ()
    for number, (each, time) in enumerate(zip(lesson.rounds, times, strict=True), start=1):
        asked = ask_round(setting, each, number, time, used=tuple(used))
        used += [choice.mixups for choice in asked.choices if choice.mixups]
        calm = lesson.calm_last_round and number == len(lesson.rounds)
        side: Side = "middle"
        moves: tuple[str, ...] = ()
        if asked.choices:
            side = each.answer or _side(setting, number, len(asked.choices), sides)
            sides.append(side)
            moves = each.moves or setting.pick_moves(number, len(asked.choices), previous, calm=calm)
            previous = moves
        section: Part = "calm" if calm else "round"
        yield RoundPlan(
            section=section,
            number=number,
            total=len(lesson.rounds),
            question=each.kind,
            asked=asked,
            side=side,
            moves=moves,
            think_s=each.think_seconds or lesson.think_seconds,
            catch_up=each.catch_up or lesson.catch_up.kind,
            say=each.say,
            reason=each.reason,
        )


def voice_plan(lesson: Lesson, delivery: Delivery) -> VoicePlan:
    """Return how the lesson is spoken: the script's own voice, else what the hall needs."""
    return VoicePlan(
        rate_wpm=lesson.voice.rate_wpm or delivery.rate_wpm,
        name=lesson.voice.name or None,
        attention_s=delivery.tone_length_s,
        attention_over_voice_db=delivery.tone_over_voice_db,
    )


def setting_of(
    lesson: Lesson,
    *,
    delivery: Delivery = DEFAULT_DELIVERY,
    conditions: Conditions | None = None,
    confused: Mapping[str, float] = MappingProxyType({}),
    minimum_difference_deg: float = MINUTE_MARK_DEG,
) -> Setting:
    """Return what all parts of the lesson's run sheet share; see `make_run_sheet`."""
    return Setting(
        lesson=lesson,
        talk=_talk(lesson, delivery),
        streams=Streams(lesson.seed),
        conditions=conditions or conditions_of(lesson),
        confused=confused,
        minimum_difference_deg=minimum_difference_deg,
    )


def _side(setting: Setting, number: int, choices: int, before: Sequence[Side]) -> Side:
    sequence = side_sequence(setting.streams.of("sides", choices), choices, number)
    return kept_free_of_runs(sequence[-1], before, choices)


def ask_round(
    setting: Setting,
    each: Round,
    name: int | str,
    time: ClockTime | DayTime,
    *,
    used: tuple[frozenset[str], ...],
) -> Asked:
    """Ask the round's question; what no clock can do is told with the round it is in."""
    ask = Ask(
        kind=each.kind,
        time=time,
        wrong=each.wrong,
        claim=each.claim,
        change_minutes=each.change_minutes,
        choices=2 if each.kind == "is-it-so" else each.choices or setting.lesson.choices,
        step=step(setting.lesson.step),
        talk=setting.talk,
        chance=setting.streams.of("wrong", name),
        used=used,
        confused=setting.confused,
        minimum_difference_deg=setting.minimum_difference_deg,
    )
    try:
        return QUESTIONS[each.kind](ask)
    except ClockError as error:
        where = "Practice" if name == "practice" else f"Round {name}"
        raise ScriptError(f"{where}: {error}") from None
