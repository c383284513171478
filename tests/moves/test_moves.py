from __future__ import annotations

import re
import unicodedata

import numpy as np
import pytest

from caller.errors import NotFoundError
from caller.languages import CODES
from caller.moves import Move, catalogue, find, kinds
from caller.moves.poses import animation, loop, pose

MOVES = tuple(catalogue().values())
MUSCLES = {
    "ankles",
    "arms",
    "back",
    "breathing",
    "calves",
    "core",
    "hips",
    "shoulders",
    "thighs",
    "whole body",
}

every_move = pytest.mark.parametrize("move", MOVES, ids=lambda move: move.slug)
every_language = pytest.mark.parametrize("language", CODES)


def test_there_are_at_least_48_moves_and_six_or_more_of_each_kind() -> None:
    assert len(MOVES) >= 48
    assert all(sum(move.kind == kind for move in MOVES) >= 6 for kind in kinds())


@every_move
def test_every_move_has_a_seated_version_that_is_seated(move: Move) -> None:
    seated = catalogue()[move.seated]
    assert seated.kind == "seated"
    assert seated.impact == 0
    assert not seated.floor
    assert (seated is move) == (move.kind == "seated")


@every_move
def test_a_seated_version_is_never_harder(move: Move) -> None:
    seated = catalogue()[move.seated]
    if move.kind not in {"balance", "stretch", "warm-up"}:
        assert seated.effort.met_6_9 <= move.effort.met_6_9


@every_move
def test_a_move_is_described_within_sense(move: Move) -> None:
    assert move.kind in kinds()
    assert move.muscle in MUSCLES
    assert 0 <= move.impact <= 3
    assert 0.4 <= move.radius_m <= 1.2
    assert 0.1 <= move.tempo_hz <= 2.5
    for code in CODES:
        for words in (move.how(code), move.easier(code), move.caution(code)):
            assert words.endswith(".")
            assert len(words.split()) <= 20
    assert move.nearest


@every_move
def test_the_figure_stays_within_the_space_the_move_asks_for(move: Move) -> None:
    """A child of 1.40 m: about the median height at ten years (WHO growth reference 2007, from memory)."""
    swept_m = 1.40 * np.linalg.norm(loop(move.slug)[:, :, [0, 2]], axis=-1).max()
    assert swept_m + 0.1 <= move.radius_m + 0.005


@every_move
def test_the_figure_leaves_the_floor_exactly_where_the_impact_says_so(move: Move) -> None:
    flying = any(not pose(move.slug, moment / 48).bearing for moment in range(48))
    assert flying == move.high_impact


@every_move
def test_the_figure_alternates_exactly_where_the_move_does(move: Move) -> None:
    assert animation(move.slug).alternates == move.sides
    assert animation(move.slug).seated == (move.kind == "seated")


@every_move
def test_only_real_jumps_are_counted_and_have_the_highest_impact(move: Move) -> None:
    assert (move.jumps > 0) == (move.impact == 3)
    assert move.noisy or not move.high_impact


@every_move
def test_a_hold_changes_legs_only_on_one_leg_and_never_jumps(move: Move) -> None:
    assert not (move.hold and move.jumps)
    one_leg = move.slug in {"one-leg-stand", "tree", "aeroplane", "star-balance", "knee-hug"}
    assert (move.hold and move.sides) == one_leg


@every_move
def test_a_leg_carries_the_weight_alone_no_longer_than_a_six_year_old_can(move: Move) -> None:
    """Three to five seconds at five years, ten at seven (common practice in physiotherapy)."""
    if move.hold and move.sides:
        assert 3.0 <= 0.5 / move.tempo_hz <= 5.0


@every_language
def test_no_two_moves_share_a_name_or_a_call(language: str) -> None:
    assert len({move.name(language) for move in MOVES}) == len(MOVES)
    assert len({move.call(language) for move in MOVES}) == len(MOVES)


@every_language
@every_move
def test_a_call_is_one_short_sentence_without_a_full_stop(move: Move, language: str) -> None:
    call = move.call(language)
    assert call[0].isupper()
    assert call[-1].isalpha()
    assert len(call.split()) <= 10
    assert not set(call) & set(".;:!?()")


@every_move
def test_words_in_other_languages_differ_from_english(move: Move) -> None:
    others = [code for code in CODES if "-" not in code]  # a country speaks its language's words
    assert len({move.call(), *map(move.call, others)}) == 1 + len(others)
    assert len({move.how(), *map(move.how, others)}) == 1 + len(others)


@every_move
def test_french_and_german_speak_to_the_whole_class(move: Move) -> None:
    french, german = (move.call(language).split()[0] for language in ("fr", "de"))
    assert french.endswith(("ez", "ez-vous")) or french == "Faites"
    assert german.endswith("t")


@every_move
def test_spanish_speaks_to_one_child(move: Move) -> None:
    assert not re.search(r"(ad|ed|id|aos|eos|íos)$", move.call("es").split()[0])


def test_american_english_takes_over_the_words_of_british_openly() -> None:
    jumps = find("star-jumps")
    assert jumps.call("en-US") == jumps.call("en-GB") == jumps.call() == "Do star jumps"
    with pytest.raises(NotFoundError):
        jumps.call("cy")


@every_move
def test_a_move_is_found_by_slug_and_by_name(move: Move) -> None:
    assert find(move.slug) is find(move.name().upper()) is move


@pytest.mark.parametrize(
    ("asked", "message"),
    [
        ("star jump", 'There is no move called "star jump"; did you mean "star-jumps"?'),
        ("sqats", 'There is no move called "sqats"; did you mean "squats"?'),
        ("zzzz", 'There is no move called "zzzz"; "hall-caller moves" lists them all.'),
        ("", 'There is no move called ""; "hall-caller moves" lists them all.'),
    ],
)
def test_an_unknown_move_names_the_nearest(asked: str, message: str) -> None:
    with pytest.raises(NotFoundError) as caught:
        find(asked)
    assert str(caught.value) == message


def test_the_catalogue_cannot_be_changed_by_its_readers() -> None:
    with pytest.raises(TypeError):
        catalogue()["squats"] = find("tree")  # type: ignore[index]


def _stems(words: str) -> set[str]:
    plain = "".join(c for c in unicodedata.normalize("NFD", words.lower()) if not unicodedata.combining(c))
    return {word[:3] for word in re.findall(r"[^\W\d_]{3,}", plain)} - {
        "the",
        "and",
        "one",
        "und",
        "der",
        "una",
    }


@every_language
@every_move
def test_a_name_shares_a_word_with_what_the_voice_calls(move: Move, language: str) -> None:
    """A child who cannot read the name has only heard the call; the answer then says the name."""
    assert _stems(move.name(language)) & _stems(move.call(language))


@every_move
def test_no_call_sends_a_class_across_the_hall(move: Move) -> None:
    words = move.call("en-GB").lower()
    assert "giant" not in words
    assert not re.search(r"\b(backwards|forwards|run|jog)\b", words) or "on the spot" in words
