"""Captions from the very times of the clips: when, how long, and in what lines.

Line length for children, shortest time and reading speed follow the guidelines of the Described and
Captioned Media Program for lower-middle educational media: 32 characters, 2 s, 120 words a minute. Where the
voice is faster than that, a caption stays as long as the next one allows, and never goes faster than the
BBC's 180 words a minute: it shares the screen with its neighbour, or the neighbour comes a little later.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from caller.languages.folders import table
from caller.timeline import CallLayout, seconds_of

LINE_CHARS: Final = 32
SHORTEST_S: Final = 2.0
S_PER_WORD: Final = 60 / 120
S_PER_WORD_AT_LEAST: Final = 60 / 180
SMALLEST_GAP_S: Final = 1.0
"""A shorter gap between two captions reads as a flicker: the first stays until the second (BBC)."""
_SEEN_S: Final = 1.0
"""A caption that is gone sooner is not read at all."""
_APART_S: Final = 0.5
"""So far from its words a caption may come, at most, so that each can be read (own choice)."""
_RUN_GAP_S: Final = 1.5  # beeps come a second apart
_BEEPS_S: Final = 1.0

# Where a sentence may be parted, the best place first.
_CLAUSE_ENDS: Final = (r"[.!?…]\s+", r"[;:]\s+", r",\s+|\s[–—]\s", r"\s+")


@dataclass(frozen=True, slots=True, kw_only=True)
class Caption:
    """A caption: seconds from the lesson's start, and its lines."""

    start_s: float
    end_s: float
    lines: tuple[str, ...]
    languages: tuple[str, ...] = ()  # of each line, where it is known

    @property
    def words(self) -> int:
        """The number of words to read."""
        return sum(len(line.split()) for line in self.lines)


def captions(
    layouts: Sequence[CallLayout], starts: Sequence[int], *, line_chars: int = LINE_CHARS, language: str = ""
) -> tuple[Caption, ...]:
    """Return the captions of a lesson.

    Parameters
    ----------
    layouts, starts
        Every call on its own sample clock, and where each starts in samples; `starts` ends with the end.
    line_chars
        Characters in a line, at most.
    language
        In which the beeps that count the last seconds are told too, in brackets (WCAG 2.2, 1.2.2: captions
        give the sounds that carry meaning). Left out, they are not.
    """
    places = list(zip(layouts, starts, strict=False))
    said = [piece for layout, start in places for piece in _said(layout, start, line_chars)]
    both = sorted([*said, *_beeps(places, said, language)], key=lambda cue: cue.start_s)
    end_s = seconds_of(starts[-1])
    return tuple(_timed(_unhurried(_shared(both, line_chars), end_s), end_s))


def reading_s(cue: Caption) -> float:
    """Return how long a caption should stand: two seconds, or half a second for each word."""
    return max(SHORTEST_S, S_PER_WORD * cue.words)


def in_lines(text: str, line_chars: int = LINE_CHARS) -> tuple[str, ...] | None:
    """Return `text` in at most two lines, or None where it does not fit; two lines are nearly alike."""
    if len(text) <= line_chars:
        return (text,)
    breaks = [
        (text[: space.start()], text[space.end() :])
        for space in re.finditer(r"\s+", text)
        if space.start() <= line_chars and len(text) - space.end() <= line_chars
    ]

    def unevenness(lines: tuple[str, str]) -> float:
        # A line that ends with a clause may be a good deal shorter than the other one.
        return abs(len(lines[0]) - len(lines[1])) - (10 if lines[0][-1] in ",;:.!?…" else 0)

    return min(breaks, key=unevenness) if breaks else None


def parts_of(text: str, line_chars: int = LINE_CHARS) -> tuple[str, ...]:
    """Return `text` in parts that each fit on two lines, parted at the ends of clauses where it can be."""
    if in_lines(text, line_chars) is not None:
        return (text,)
    for clause_end in _CLAUSE_ENDS:
        places = [match.end() for match in re.finditer(clause_end, text)][
            : -1 if text[-1:].isspace() else None
        ]
        places = [place for place in places if text[:place].strip() and text[place:].strip()]
        if places:
            middle = min(places, key=lambda place: abs(place - len(text) / 2))
            first, rest = text[:middle].strip(), text[middle:].strip()
            return (*parts_of(first, line_chars), *parts_of(rest, line_chars))
    # One word longer than two lines can hold is cut.
    return (text[:line_chars], *parts_of(text[line_chars:], line_chars))


def _said(layout: CallLayout, start: int, line_chars: int) -> Iterator[Caption]:
    """Yield what is said, each part for its share of the speech."""
    for span in layout.spans:
        parts = parts_of(span.line.written, line_chars) if span.line.written else ()
        letters = sum(map(len, parts))
        begin, length = start + span.speech_start, span.speech_end - span.speech_start
        done = 0
        for part in parts:
            first, done = done, done + len(part)
            yield Caption(
                start_s=seconds_of(begin + length * first // letters),
                end_s=seconds_of(begin + length * done // letters),
                lines=(lines := in_lines(part, line_chars) or (part,)),
                languages=(span.line.language,) * len(lines),
            )


def _beeps(
    places: Sequence[tuple[CallLayout, int]], said: Sequence[Caption], language: str
) -> Iterator[Caption]:
    """Yield one caption for each run of beeps in which nothing is said, if there is time to read it."""
    if not language:
        return
    at = [
        seconds_of(start + event.start)
        for layout, start in places
        for event in layout.events
        if event.kind == "tone" and event.tone == "beep" and not event.under_speech
    ]
    begins = [now for before, now in zip((float("-inf"), *at), at, strict=False) if now - before > _RUN_GAP_S]
    for begin in begins:
        run = [now for now in at if now >= begin]
        last = next((a for a, b in pairwise((*run, float("inf"))) if b - a > _RUN_GAP_S), begin)
        end = min([last + _RUN_GAP_S, *(cue.start_s for cue in said if cue.start_s > begin)])
        if end - begin >= _BEEPS_S and not any(cue.start_s <= begin < cue.end_s for cue in said):
            word = table(language, "page")["beep"]
            yield Caption(start_s=begin, end_s=end, lines=(f"[{word}]",), languages=(language,))


def _shared(said: Iterable[Caption], line_chars: int) -> list[Caption]:
    """Let a caption that would go too soon share the screen with the next one, where both fit."""
    cues: list[Caption] = []
    for cue in said:
        last = cues[-1] if cues else None
        if last is not None and cue.start_s - last.start_s < _least_s(last):
            both = _both(last, cue, line_chars)
            if both is not None:
                cues[-1] = replace(both, end_s=cue.end_s)
                continue
        cues.append(cue)
    return cues


def _least_s(cue: Caption) -> float:
    return max(SHORTEST_S, S_PER_WORD_AT_LEAST * cue.words)


def _both(cue: Caption, following: Caption, line_chars: int) -> Caption | None:
    """Return the lines of both captions as one; None where they do not fit, or not in one language."""
    first, second = cue.lines, following.lines
    if len(first) == len(second) == 1 and not (first[0][-1:].isdigit() and second[0][:1].isdigit()):
        return replace(cue, lines=(*first, *second), languages=(*cue.languages, *following.languages))
    if len({*cue.languages, *following.languages}) > 1:
        return None
    # Numbers that are counted stand side by side.
    lines = in_lines(" ".join((*first, *second)), line_chars)
    return None if lines is None else replace(cue, lines=lines, languages=cue.languages[:1] * len(lines))


def _unhurried(cues: Sequence[Caption], end_s: float) -> list[Caption]:
    """Let a caption that fits on no screen with its neighbours stay until it is read.

    The next one has the time to come later: it gives nothing away before it is said. Else this one comes
    earlier.
    """
    begins = [cue.start_s for cue in cues] + [end_s]
    least = [max(_SEEN_S, S_PER_WORD_AT_LEAST * cue.words) for cue in cues]
    for this in range(len(cues)):
        if this + 1 < len(cues):
            spare = begins[this + 2] - begins[this + 1] - least[this + 1]
            begins[this + 1] += _within(begins[this] + least[this] - begins[this + 1], spare)
        before = begins[this - 1] + least[this - 1] if this else 0.0
        begins[this] -= _within(begins[this] + least[this] - begins[this + 1], begins[this] - before)
    return [
        replace(cue, start_s=begin, end_s=max(begin, cue.end_s))
        for cue, begin in zip(cues, begins, strict=False)
    ]


def _within(wanted_s: float, spare_s: float) -> float:
    return max(0.0, min(wanted_s, spare_s, _APART_S))


def _timed(cues: Sequence[Caption], end_s: float) -> Iterator[Caption]:
    """Give each caption the time to read it, as far as the next one allows."""
    for cue, following in zip(cues, (*cues[1:], None), strict=True):
        until = end_s if following is None else following.start_s
        wanted = max(cue.end_s, cue.start_s + reading_s(cue))
        yield replace(cue, end_s=until if until - wanted < SMALLEST_GAP_S else wanted)
