"""The calm end: slow breaths, praise for the effort, and lining up quietly."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from caller.runsheet.draft import Draft
from caller.runsheet.setting import Setting
from caller.runsheet.talk import text

_BREATH_IN_S = 3.0
_BREATH_OUT_S = 4.0


def closing(setting: Setting) -> Iterator[Draft]:
    """Yield the last calls of a lesson."""
    lesson, talk = setting.lesson, setting.talk
    if lesson.close.breaths:
        breath = (
            replace(talk.line("close.in"), slot_s=_BREATH_IN_S, pause_s=0.0, doing="breathe"),
            replace(talk.line("close.out"), slot_s=_BREATH_OUT_S, pause_s=0.0, doing="breathe"),
        )
        stand = replace(talk.line("close.sit" if lesson.seated else "close.stand"), doing="rest")
        lines = (stand, *breath * lesson.close.breaths)
        yield Draft(kind="close", part="close", lines=lines, board=setting.resting())
    if lesson.class_name:
        praise = talk.main("close.praise-class", who=text(lesson.class_name))
    else:
        praise = talk.main("close.praise")
    own = (talk.own_words(lesson.close.say),) if lesson.close.say else ()
    line_up = talk.main(f"close.line-up{setting.seated}")
    yield Draft(kind="close", part="close", lines=(*praise, *own, *line_up), board=setting.resting())
