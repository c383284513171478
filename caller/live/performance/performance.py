"""One run sheet led in a room: ask where the sound is, draw that, do what the keys ask."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from caller.errors import CallerError, ScreenError
from caller.live.keeping import NOTED_S, TallyTaker, TallyTold, few_had_it, is_practice, noted
from caller.live.keys import key_page, picture_page, with_keys
from caller.live.loudspeaker import STEP_MS
from caller.live.performance import PlanToLead
from caller.live.performance.by_ear import ByEar, HeardRound
from caller.live.performance.conductor import Conductor, Situation, TeachAgain
from caller.live.performance.presses import (
    LEFT_ALONE_S,
    LOOK_ALONE_S,
    Asked,
    AskingToStop,
    Buttons,
    Ending,
    Leading,
    ShowingPage,
    State,
    WaitingPage,
    is_still,
)
from caller.live.room import Room
from caller.live.words import said, speak
from caller.runsheet import Call
from caller.runsheet.counting import from_the_next_clock
from caller.runsheet.forms import call_in_words
from caller.screen.keytable import Action
from caller.screen.menu import Menu
from caller.screen.scene import Scene
from caller.screen.teacher_pages import KeyPage, PicturePage
from caller.timeline import samples_of, seconds_of
from caller.timeline.picture import FRAME_S, RISES_S, SINKS_S, hushed, into_frame_s, picture_of
from caller.timeline.segment import Timeline

_SMOOTHED: Final = 0.05  # how much one picture says of how late the next will be
_LOOK_S: Final = 1 / 60
_SUPPLY_S: Final = 0.1
_NOTICE_S: Final = 8.0


def until_next_frame_s(situation: Situation) -> float:
    """Return how many seconds after this frame the next one is due: a thirtieth, or up to half of that off.

    Frames fall midway between the thirtieths counted from the countdown's start, so each new numeral comes
    equally soon after its beep, and waking a few milliseconds early or late does not miss it. A display
    that waits for its own refresh keeps its own step instead.
    """
    layout = None if situation.segment is None else situation.segment.layout
    return FRAME_S if layout is None else 1.5 * FRAME_S - into_frame_s(layout, situation.sample)


class Performance:
    """Leads one run sheet in a room, from `first` to its end or until the teacher stops it."""

    def __init__(self, room: Room, plan: PlanToLead) -> None:
        self._room = room
        self._plan = plan
        self._log = room.log
        self._touched_s = 0.0
        self._waiting: WaitingPage | None = None
        if plan.waits:
            loudness = plan.run_sheet.calls[plan.first].kind == "sound-check"
            self._waiting = WaitingPage(room.controls, lambda: room.screen.size, loudness=loudness)
        self._buttons = Buttons(room.controls) if self._waiting is None else self._waiting
        self._overlays: dict[Action, KeyPage | PicturePage] = {
            Action.HELP: key_page(room.controls),
            Action.PICTURE: picture_page(room.controls),
        }
        self._tallies = TallyTaker()
        self._notices: list[tuple[float, str]] = []  # until when, and what
        self._state: State = Leading()
        self._skipped = False
        self._scene: Scene | None = None
        self._call: Call | None = None
        self._unseen: Call | None = None  # the call in which the display went away
        self._heard = 0  # the last stream sample that was heard
        self._began = 0  # the one at which the first call was heard
        self._behind_s = FRAME_S / 2  # how long a change in the sound waits for its picture
        self._hush = 0.0  # how far the cloth that asks for quiet has come
        self._printed_notice = ""
        sheet = plan.run_sheet
        speak(sheet.language)
        room.play_wide(sheet.voice.two_loudspeakers)
        self._timeline = timeline = Timeline(sheet, voice=room.voice, tones=room.tones, own=room.own_voice)
        self._conductor = Conductor(timeline, room.player, room.background, first=plan.first)
        self._by_ear: ByEar | None = None
        self._heed_the_hall()
        self._conductor.step()
        self._sound = room.begin_sound(self._conductor.await_next)
        room.screen.show(self._page(Scene(board=sheet.calls[plan.first].board)))
        self._log.event("first picture")
        timeline.speak_ahead(sheet.calls[plan.first :])
        if plan.soon is not None:
            Timeline(plan.soon, voice=room.voice, tones=room.tones, own=room.own_voice).speak_ahead()
        self._again: TeachAgain | None = None
        if plan.branches is not None:
            changed = self._keep_changes
            self._again = TeachAgain(plan.branches, timeline, self._conductor, room.background, changed)
            self._again.prepare()

    def run(self) -> Ending:
        """Lead it, and return how it ended.

        Raises
        ------
        ScreenError
            When the display is gone.
        """
        room, record = self._room, self._plan.record
        self._conductor.cut = self._sound.result().cut
        room.tell_how_it_is_led()
        ending: Ending | None = None
        try:
            # A window being dragged stops its own loop: the player is supplied from a thread too.
            with room.background.repeated("supplies", _SUPPLY_S, self._conductor.step):
                while ending is None:
                    began_s = time.monotonic()
                    ending, pause_s = self._frame(began_s)
                    self._rest(began_s + pause_s)
            if record is not None and not record.end(ending.name.lower()):
                self._log.event("not kept")
            return ending
        finally:
            self._conductor.pause()
            if record is not None:
                record.leave_open()  # does nothing where the lesson has its end

    def _rest(self, until_s: float) -> None:
        """Wait for the next picture, or for a key: silence comes within a twentieth of a second of it."""
        look_s = _LOOK_S
        if is_still(self._state) and time.monotonic() - self._touched_s > LEFT_ALONE_S:
            look_s = LOOK_ALONE_S
            until_s += 3 * look_s  # a pause costs next to nothing
        while (left_s := until_s - time.monotonic()) > 0:
            if self._room.screen.pressed():
                self._touched_s = time.monotonic()
                return
            time.sleep(min(left_s, look_s))

    def _frame(self, now_s: float) -> tuple[Ending | None, float]:
        """Do all there is to do now; return how the lesson ended, and when the next frame is due."""
        for asked in self._asked(now_s):
            self._log.event("key", action=asked.name if isinstance(asked, Action) else str(asked))
            state = self._state.asked(asked, self)
            if isinstance(state, Ending):
                return state, 0.0
            self._state = state
        self._conductor.step()
        looked_s = time.monotonic()
        ahead_s = self._behind_s
        # What was heard stays heard, though the sound's clock is set right: a call never comes twice.
        heard = self._heard = max(self._heard, self._room.sound.heard(ahead_s))
        situation = self._conductor.situation(heard)
        if situation.finished:
            self._log.event("finished", underruns=self._room.sound.underruns)
            return (Ending.SKIPPED if self._skipped else Ending.ENDED), 0.0
        self._note(situation, heard, ahead_s)
        if self._by_ear is not None:
            for found in self._by_ear.hear(situation, looked_s + ahead_s):
                self._keep_heard(found)
        self._scene = self._picture(situation, now_s)
        self._tell_unseen(self._scene.notice)
        if self._show(self._scene, situation) and (segment := situation.segment) is not None:
            behind_s = into_frame_s(segment.layout, situation.sample) + time.monotonic() - looked_s
            self._behind_s += _SMOOTHED * (min(behind_s, 2 * FRAME_S) - self._behind_s)
        pause_s = until_next_frame_s(situation)
        self._draw_ahead(heard + samples_of(pause_s))
        return None, pause_s

    def _draw_ahead(self, coming: int) -> None:
        """Draw the picture of a coming stream sample while there is time: then it is sent when it is due."""
        if self._scene is None or self._waiting is not None or isinstance(self._state, ShowingPage):
            return
        playing = self._conductor.playing(coming)
        if playing is not None:
            cued, sample = playing
            scene = picture_of(cued.segment.layout, sample, notice=self._scene.notice)
            self._room.screen.draw_ahead(scene)

    def _asked(self, now_s: float) -> Iterator[Asked]:
        # One press may change what the next one means: `is_still` is looked at anew for each.
        return self._buttons.asked(self._room.screen.inputs(), now_s, paused=lambda: is_still(self._state))

    # What the states act on

    @property
    def confirms_stop(self) -> bool:
        """Whether stopping asks first."""
        return self._plan.confirm_stop

    def act(self, asked: Action) -> None:
        """Do what concerns the order and the sound of calls."""
        self._skipped = asked is Action.NEXT and self._conductor.place == len(self._conductor.calls) - 1
        self._conductor.act(asked)
        if asked in (Action.LOUDER, Action.SOFTER):
            step, steps = self._conductor.volume
            self._notice(
                (said("lesson.loudest") if step == steps else said("lesson.volume")).format(
                    step=step, steps=steps
                ),
                NOTED_S,
            )

    def _move_picture(self, by_ms: int) -> None:
        try:
            told = said("lesson.delay").format(ms=self._room.sound_later(by_ms))
        except CallerError:
            told = said("lesson.delay-not-kept")
        self._notice(told, NOTED_S)

    def pause(self) -> None:
        """Fall silent, and stay at this call."""
        self._conductor.pause()

    def go_on(self) -> None:
        """Go on from the start of this call."""
        self._conductor.go_on()

    def look(self, asked: Action) -> None:
        """Change how the screen looks, or when."""
        match asked:
            case Action.THEME:
                self._room.screen.toggle_theme()
            case Action.FULL_SCREEN:
                self._room.screen.toggle_full_screen()
            case Action.PICTURE_LATER:
                self._move_picture(STEP_MS)
            case Action.PICTURE_EARLIER:
                self._move_picture(-STEP_MS)

    def count(self, asked: Asked) -> None:
        """Take a tally, and where few had it teach it again; take the last one back; or let claps count."""
        now_s = time.monotonic()
        if asked is Action.UNDO:
            self._take_back()
            return
        if asked is Action.CLAPS:
            self._notice(said(self._count_by_claps()), NOTED_S)
            return
        told = self._tallies.digit(asked, now_s) if isinstance(asked, int) else self._tallies.press(asked)
        if told is None:
            self._notice(said("count.not-yet"), NOTED_S)
            return
        self._log.event("tally", round=told.round[0], part=told.round[1], tally=str(told.tally))
        self._notice(said("count.noted-practice") if is_practice(told.round) else noted(told.tally), NOTED_S)
        self._keep_tally(told)

    def _heed_the_hall(self) -> None:
        # Before the first call is supplied: what is heard decides which calls come, and when.
        sheet, room = self._plan.run_sheet, self._room
        longest_s = sheet.quiet_gate_s if room.quiet_gate_s is None else room.quiet_gate_s
        if longest_s:
            self._conductor.gate = room.gate(longest_s)
        if any(call.kind == "claps" for call in sheet.calls):
            self._listen()

    def _listen(self) -> None:
        if self._by_ear is None:
            self._by_ear = ByEar(self._room.ear(), self._plan.run_sheet.rounds)
            self._conductor.left_out = self._by_ear.leaves_out

    def _count_by_claps(self) -> str:
        """Have the clocks to come counted by claps, or no longer; return what to say of it."""
        conductor, plan = self._conductor, self._plan
        sheets = (plan.run_sheet.calls, plan.branches.calls if plan.branches is not None else ())
        last = max(call.number for calls in (*sheets, conductor.calls) for call in calls)
        language = plan.run_sheet.language
        found = from_the_next_clock(conductor.calls, conductor.place, language, number_from=last + 1)
        if found is None:
            return "count.claps-none"
        place, calls = found
        asked = any(call.kind == "claps" for call in calls)
        if asked:
            self._listen()
            self._timeline.speak_ahead(calls)
        conductor.put(place - 1, calls)
        self._log.event("claps", asked=asked)
        if plan.record is not None:
            plan.record.change(conductor.calls)
        return "count.claps-on" if asked else "count.claps-off"

    def _keep_tally(self, told: TallyTold) -> None:
        if (record := self._plan.record) is None:
            return
        record.tell(told)
        facts = record.facts(told.round)
        if facts is not None and self._again is not None and few_had_it(told.tally, facts):
            self._again.ask(told.round, self._room.background.tell)

    def _keep_heard(self, found: HeardRound) -> None:
        """Keep what was counted by ear; only where it is all but certain that few had it, teach it again."""
        self._log.event("by ear", round=found.round[0], part=found.round[1], told=found.told)
        record = self._plan.record
        if record is None or found.count is None:
            return
        if record.hear_count(found.round, found.count) and self._again is not None and found.surely_few:
            self._again.ask(found.round, self._room.background.tell)

    def _take_back(self) -> None:
        if (key := self._tallies.take_back()) is None:
            self._notice(said("count.nothing-to-take-back"), NOTED_S)
            return
        self._log.event("tally taken back", round=key[0], part=key[1])
        self._notice(said("count.taken-back"), NOTED_S)
        if self._plan.record is not None:
            self._plan.record.untell(key)
        if self._again is not None:
            self._again.take_back(key)

    def _keep_changes(self, calls: tuple[Call, ...]) -> None:
        self._log.event("taught again", numbers=" ".join(str(call.number) for call in calls))
        if self._plan.record is not None:
            self._plan.record.change(calls)

    # What is seen

    def _notice(self, text: str, seconds: float) -> None:
        """Let the teacher read `text`, in the place of what was there."""
        self._notices = [(time.monotonic() + seconds, text)]

    def _note(self, situation: Situation, heard: int, ahead_s: float) -> None:
        call = situation.call
        if situation.segment is None or call is self._call:
            return
        if self._call is None:
            self._log.event("first sound")
            self._began = heard - situation.sample
        self._call = call
        self._tallies.hear(call)
        if self._plan.record is not None:
            self._plan.record.hear(call)
        begins = heard - situation.sample
        self._room.tell_unseen(call_in_words(call, seconds_of(begins - self._began)))
        self._log.event(
            "call",
            number=call.number,
            kind=call.kind,
            stream_s=seconds_of(begins),
            heard_s=seconds_of(heard) - ahead_s,
            own_voice=situation.segment.own_voice,
        )

    def _tell_unseen(self, notice: str) -> None:
        if notice != self._printed_notice:
            self._printed_notice = notice
            if notice != said("machine.none"):  # the first sentence of all said so
                self._room.tell_unseen(notice)

    def _picture(self, situation: Situation, now_s: float) -> Scene:
        notice = self._line(now_s)
        asked = self._conductor.waiting_for_quiet
        step = FRAME_S / RISES_S if asked else -FRAME_S / SINKS_S
        self._hush = min(max(self._hush + step, 0.0), 1.0)
        if situation.segment is not None:
            scene = picture_of(situation.segment.layout, situation.sample, notice=notice)
        else:
            scene = self._scene or Scene(board=situation.call.board)
            if scene.board != situation.call.board:
                scene = Scene(board=situation.call.board)
            scene = replace(scene, notice=notice, raised=None)  # no tone is heard
        return hushed(scene, self._hush, asked=asked)

    def _line(self, now_s: float) -> str:
        """Return the teacher's line: what asks for an answer, then news, then what stays so."""
        record = self._plan.record
        news = (record.notice() if record is not None else "") or self._room.notice()
        if news:
            self._notices.append((now_s + _NOTICE_S, news))
        self._notices = [each for each in self._notices if now_s < each[0]]
        own = self._notices[-1][1] if self._notices else ""
        asking = self._state.notice if isinstance(self._state, AskingToStop) else ""
        standing = self._room.sound.look_after() or self._state.notice
        if self._conductor.waiting_for_quiet:
            standing = standing or said("lesson.waiting")
        return with_keys(asking, self._room.controls) or own or with_keys(standing, self._room.controls)

    def _page(self, scene: Scene) -> Scene | Menu:
        return scene if self._waiting is None else self._waiting.shown(scene)

    def _show(self, scene: Scene, situation: Situation) -> bool:
        """Show the picture; where the display is gone, let the voice finish its call, and then stop."""
        try:
            over = self._overlays[self._state.page] if isinstance(self._state, ShowingPage) else None
            return self._room.screen.show(over or self._page(scene))
        except ScreenError:
            if self._unseen is None:
                self._log.event("display lost")
                self._unseen = situation.call
            if situation.segment is None or situation.call is not self._unseen:
                raise
            return False
