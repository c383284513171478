"""What comes before a lesson, led by a key press: the sound check and the safety points."""

from __future__ import annotations

from dataclasses import replace

from caller.hall.adapt import DEFAULT_DELIVERY, Delivery
from caller.lesson.model import Lesson
from caller.runsheet.draft import Draft, numbered
from caller.runsheet.model import Board, Countdown, RunSheet
from caller.runsheet.opening import safety_points
from caller.runsheet.sequence import voice_plan
from caller.runsheet.setting import Setting

_COUNTED_S = 4
_AGAIN_S = 3.0  # quiet before it is said once more


def prelude(lesson: Lesson, *, delivery: Delivery = DEFAULT_DELIVERY) -> RunSheet:
    """Return two calls, each to be said until the teacher goes on: can you hear me, and keep safe."""
    setting = Setting.of(lesson, delivery)
    return RunSheet(
        title=lesson.title,
        class_name=lesson.class_name,
        language=lesson.language,
        seed=lesson.seed,
        voice=voice_plan(lesson, delivery),
        calls=numbered([_sound_check(setting), replace(safety_points(setting), hold_s=_AGAIN_S)]),
        rounds=(),
    )


def _sound_check(setting: Setting) -> Draft:
    talk = setting.talk
    question = talk.line("sound-check.question")
    board = Board(
        layout="points",
        title=talk.first.say("sound-check.title").written,
        points=(
            question.written,
            talk.first.say("sound-check.keys").written,
            talk.first.say("sound-check.together").written,
        ),
        move=setting.resting().move,
    )
    lines = (talk.with_tone(question, "sound-check"),)
    # Numbers and beeps, so that one sees whether the loudspeaker keeps up with the picture.
    counted = Countdown(seconds=_COUNTED_S, beeps=_COUNTED_S, tick=None)
    return Draft(
        kind="sound-check", part="opening", lines=lines, board=board, countdown=counted, hold_s=_AGAIN_S
    )
