"""Room for teaching again: what is left of a lesson, made shorter by exactly what is put in.

Pure: it is told the remaining calls and how long each takes, and returns the new remaining calls. Think time
gives way first, down to its floor; then catch-ups, the nearest first; then one round is left out. The last
round, which calms down, and the close are always kept.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Final

from caller.runsheet import Call

LEAST_THINK_S: Final = 8
"""No think time is cut below this: reading a clock and moving takes longer (own choice)."""

LEAST_THINK_SHARE: Final = 0.6
TOLERANCE_S: Final = 10.0
"""A lesson may end by so much earlier or later than it was planned to."""

_MORE_REST_S: Final = 4.0  # at most so much is given back to a round's breath
_MORE_THINK_S: Final = 6  # and so much to its think time, where leaving a round out saved more than needed


@dataclass(frozen=True, slots=True)
class _Round:
    """A round that is still to come, as places in the list of calls."""

    places: tuple[int, ...]
    may_go: bool


@dataclass(frozen=True, slots=True)
class _Way:
    """One way to make room: which calls go, and by how much think and rest times change."""

    gone: frozenset[int]
    think_s: Mapping[int, int]
    rest_s: Mapping[int, float]


def make_room(rest: Sequence[Call], lengths_s: Sequence[float], needed_s: float) -> tuple[Call, ...] | None:
    """Return `rest` made shorter by `needed_s`, or None where it cannot be.

    Parameters
    ----------
    rest
        The calls that are still to come, from the start of the next round.
    lengths_s
        How long each of them takes.
    needed_s
        By how much they must become shorter; met to the second where think time can, else within
        `TOLERANCE_S`.
    """
    rounds = tuple(_rounds(rest))
    for left_out in (None, *_least_missed(rounds)):
        way = _way(rest, lengths_s, rounds, left_out, needed_s)
        if way is not None:
            return tuple(_changed(rest, way))
    return None


def first_that_fits(
    branches: Sequence[Sequence[Call]],
    rest: Sequence[Call],
    length_s: Callable[[Call], float],
    *,
    saved_s: float = 0.0,
) -> tuple[Call, ...] | None:
    """Return the first of `branches` that room can be made for, with what follows it, or None.

    `saved_s` is what was left out before `rest` already.
    """
    lengths_s = [length_s(call) for call in rest]
    for branch in branches:
        room = make_room(rest, lengths_s, sum(length_s(call) for call in branch) - saved_s)
        if room is not None:
            return (*branch, *room)
    return None


def _rounds(rest: Sequence[Call]) -> Iterator[_Round]:
    """Yield the rounds to come; one that is taught again already stays as it is."""
    numbers = [call.round for call in rest if call.part in ("round", "calm")]
    last = numbers[-1] if numbers else None
    for (number, part), places in groupby(range(len(rest)), lambda at: (rest[at].round, rest[at].part)):
        if number is not None and part in ("round", "calm"):
            yield _Round(tuple(places), may_go=part == "round" and number != last)


def _least_missed(rounds: Sequence[_Round]) -> list[_Round]:
    """Return the rounds that may be left out, the middle one first: the nearest and the last teach most."""
    going = [each for each in rounds if each.may_go]
    middle = (len(going) - 1) / 2
    return sorted(going, key=lambda each: abs(going.index(each) - middle))


def _way(
    rest: Sequence[Call],
    lengths_s: Sequence[float],
    rounds: Sequence[_Round],
    left_out: _Round | None,
    needed_s: float,
) -> _Way | None:
    gone = set(left_out.places) if left_out else set()
    staying = [place for each in rounds if each is not left_out for place in each.places]
    thinking = [place for place in staying if rest[place].kind == "move"]
    catch_ups = [place for place in staying if rest[place].kind == "catch-up"]
    spare_s = {place: _spare_think_s(rest[place]) for place in thinking}
    missing_s = needed_s - sum(lengths_s[place] for place in gone)
    while missing_s > sum(spare_s.values()) and catch_ups:
        # A round's catch-up goes as a whole, the nearest round's first.
        number = rest[catch_ups[0]].round
        going = [place for place in catch_ups if rest[place].round == number]
        catch_ups = [place for place in catch_ups if place not in going]
        gone.update(going)
        missing_s -= sum(lengths_s[place] for place in going)
    if missing_s > sum(spare_s.values()) + 0.5:
        return None
    if missing_s >= 0:
        return _Way(frozenset(gone), _shared_out(round(missing_s), spare_s, sign=-1), {})
    return _given_back(rest, staying, gone, thinking, -missing_s)


def _given_back(
    rest: Sequence[Call], staying: Sequence[int], gone: set[int], thinking: Sequence[int], spare_s: float
) -> _Way | None:
    """Lengthen rests and think times by what was saved beyond need."""
    resting = [place for place in staying if rest[place].kind == "breath"]
    more_s = min(spare_s, _MORE_REST_S * len(resting))
    rest_s = dict.fromkeys(resting, more_s / len(resting)) if resting else {}
    room = dict.fromkeys(thinking, _MORE_THINK_S)
    think_s = min(round(spare_s - more_s), sum(room.values()))
    if spare_s - more_s - think_s > TOLERANCE_S:
        return None
    return _Way(frozenset(gone), _shared_out(think_s, room, sign=1), rest_s)


def _spare_think_s(call: Call) -> int:
    if call.countdown is None:
        return 0
    least = max(LEAST_THINK_S, round(LEAST_THINK_SHARE * call.countdown.seconds))
    return max(call.countdown.seconds - least, 0)


def _shared_out(total: int, room: Mapping[int, int], *, sign: int) -> dict[int, int]:
    """Return `total` whole seconds shared as evenly as `room` allows, with a sign."""
    shares = dict.fromkeys(room, 0)
    left = total
    while left > 0:
        open_places = [place for place in room if shares[place] < room[place]]
        if not open_places:
            break
        for place in open_places[:left]:
            shares[place] += 1
        left -= min(left, len(open_places))
    return {place: sign * share for place, share in shares.items() if share}


def _changed(rest: Sequence[Call], way: _Way) -> Iterator[Call]:
    for place, call in enumerate(rest):
        if place in way.gone:
            continue
        if call.countdown is not None and place in way.think_s:
            seconds = call.countdown.seconds + way.think_s[place]
            call = replace(call, countdown=replace(call.countdown, seconds=seconds))
        if place in way.rest_s:
            call = replace(call, hold_s=round(call.hold_s + way.rest_s[place], 2))
        yield call
