from __future__ import annotations

import ctypes
import re
from itertools import accumulate

import numpy as np
import pypdfium2 as pdfium
import pytest
from numpy.typing import NDArray

from caller.clock import ClockTime, DayTime
from caller.export.formats import Paper
from caller.export.sheet import PAPERS, moves_of, sheet_pdf
from caller.export.sheet_clocks import (
    blocks_of,
    draw_clock_block,
    parts_of_lesson,
    sheet_words,
    shown_height,
    telling_step,
    words_of_part,
)
from caller.lesson import LanguageCode, Lesson, Practice, Round
from caller.moves import find
from caller.moves.safety import who_decides
from caller.runsheet import RunSheet
from caller.runsheet.sequence import make_run_sheet
from caller.screen import Rect
from caller.screen.figures_on_stage import STEPS
from caller.screen.skia_door import skia
from tests.reference.dial_reader import read_dial

DPI = 100
ROUNDS = (
    Round(time=ClockTime(4, 40), wrong=(ClockTime(8, 20),), moves=("star-jumps", "march"), answer="left"),
    Round(time=ClockTime(11, 55), choices=3),
    Round(kind="find", time=ClockTime(7, 50)),
    Round(kind="later", time=ClockTime(2, 50)),
    Round(kind="be-the-clock", time=ClockTime(3, 0)),
    Round(kind="is-it-so", time=ClockTime(3, 35)),
    Round(kind="day-part", time=DayTime(16, 40)),
    Round(time=ClockTime(9, 25)),
    Round(time=ClockTime(10, 5)),
)


def lesson(language: LanguageCode = "en-GB", rounds: tuple[Round, ...] = ROUNDS) -> Lesson:
    return Lesson(
        title="Fives to the hour",
        class_name="Gannets",
        language=language,
        step="fives-to",
        practice=Practice(skip=True),
        rounds=rounds,
    )


def starts_of(run_sheet: RunSheet) -> list[float]:
    """Starts as if every call took ten seconds and its think time."""
    lengths = (10.0 + (call.countdown.seconds if call.countdown else 0) for call in run_sheet.calls)
    return [0.0, *accumulate(lengths)]


def opened(run_sheet: RunSheet, paper: Paper = "a4") -> pdfium.PdfDocument:
    return pdfium.PdfDocument(sheet_pdf(run_sheet, starts_of(run_sheet), paper=paper))


def text_of(page: pdfium.PdfPage) -> str:
    return plain(page.get_textpage().get_text_bounded())


def plain(text: str) -> str:
    """Return text with one kind of space, as a reader of PDF cannot tell them apart."""
    return " ".join(text.split())


def pixels_of(page: pdfium.PdfPage) -> NDArray[np.uint8]:
    return np.asarray(page.render(scale=DPI / 72, grayscale=True).to_numpy()).reshape(
        round(page.get_height() * DPI / 72 + 0.49), -1
    )


@pytest.mark.parametrize("paper", list(PAPERS))
@pytest.mark.parametrize("language", ["en-GB", "en-US", "es", "fr", "de"])
def test_the_first_page_says_what_a_substitute_needs(language: LanguageCode, paper: Paper) -> None:
    run_sheet = make_run_sheet(lesson(language))
    page = text_of(opened(run_sheet, paper)[0])
    words = sheet_words(language)
    for heading in ("before", "safety", "fails", "order", "paper", "times", "lead"):
        assert plain(words[heading]) in page, heading
    for item in (*words["before-items"], *words["fails-items"], *words["order-items"], *words["paper-lines"]):
        assert plain(item) in page
    assert who_decides(language) in page
    assert plain(words_of_part(run_sheet, "opening")) in page
    assert plain(words_of_part(run_sheet, "close")) in page
    assert "Gannets" in page


@pytest.mark.parametrize("paper", list(PAPERS))
@pytest.mark.parametrize("language", ["en-GB", "de"])
def test_every_clock_stands_whole_on_one_page_in_order(language: LanguageCode, paper: Paper) -> None:
    run_sheet = make_run_sheet(lesson(language))
    pages = [text_of(page) for page in opened(run_sheet, paper)]
    before = 0
    for block in blocks_of(run_sheet, starts_of(run_sheet)):
        said = [text for text in (block.question, block.answer, block.why, block.together) if text]
        found = [number for number, page in enumerate(pages) if all(text in page for text in said)]
        assert found, block
        assert found[0] >= before
        before = found[0]


@pytest.mark.parametrize("paper", list(PAPERS))
@pytest.mark.parametrize("language", ["en-GB", "fr", "de"])
def test_no_word_on_paper_is_smaller_than_ten_points(language: LanguageCode, paper: Paper) -> None:
    """As pdfium reads it; only the numerals of a small dial, which are a picture, may be smaller."""
    for page in opened(make_run_sheet(lesson(language)), paper):
        text = page.get_textpage()
        small = ""
        for at in range(text.count_chars()):
            if pdfium.raw.FPDFText_GetFontSize(text, at) < 10.0 - 1e-6:
                small += text.get_text_range(at, 1)
        assert not re.search(r"[^\d\s]", small), small


def test_a_french_colon_has_a_space_before_it_and_an_english_one_has_none() -> None:
    """Common practice in French printing, no source."""
    for language, right, wrong in (("fr", r"\w\s:\s", r"[^\W\d]:\s"), ("en-GB", r"[^\W\d]:\s", r"\w\s:\s")):
        pages = [text_of(page) for page in opened(make_run_sheet(lesson(language)))]
        assert len(re.findall(right, " ".join(pages))) > 20
        assert not re.findall(wrong, " ".join(pages))


@pytest.mark.parametrize("language", ["en-GB", "fr"])
def test_a_screen_reader_is_told_the_language_and_reads_the_words_in_order(language: LanguageCode) -> None:
    """Tagged as ISO 32000-1, 14.7 and 14.8, asks, as pdfium reads it: each page hangs in the one element."""
    document = opened(make_run_sheet(lesson(language)))
    raw = pdfium.raw
    assert raw.FPDFCatalog_IsTagged(document)
    for page in document:
        tree = raw.FPDF_StructTree_GetForPage(page)
        assert raw.FPDF_StructTree_CountChildren(tree) == 1
        element = raw.FPDF_StructTree_GetChildAtIndex(tree, 0)
        said = (ctypes.c_ushort * 40)()
        length = raw.FPDF_StructElement_GetLang(element, said, 80)
        assert bytes(said)[: length - 2].decode("utf-16-le") == language
        assert raw.FPDF_StructElement_CountChildren(element) > 5
        raw.FPDF_StructTree_Close(tree)
    words = text_of(document[0])
    heads = [plain(sheet_words(language)[head]) for head in ("before", "safety", "fails", "order", "paper")]
    assert [words.find(head) for head in heads] == sorted(words.find(head) for head in heads)


@pytest.mark.parametrize("paper", list(PAPERS))
def test_pages_have_the_size_of_their_paper_and_white_margins(paper: Paper) -> None:
    # ISO 216: A4 is 210 by 297 mm; US Letter is 8.5 by 11 inches.
    millimetres = {"a4": (210.0, 297.0), "letter": (8.5 * 25.4, 11 * 25.4)}[paper]
    for page in opened(make_run_sheet(lesson("de")), paper):
        assert [side * 25.4 / 72 for side in page.get_size()] == pytest.approx(millimetres, abs=0.2)
        pixels = pixels_of(page)
        edge = round(8 / 25.4 * DPI)  # office printers leave up to 6 mm
        assert pixels[edge:-edge, edge:-edge].min() < 64
        middle = np.zeros(pixels.shape, bool)
        middle[edge:-edge, edge:-edge] = True
        assert pixels[~middle].min() == 255


def test_the_last_pages_hold_a_card_for_every_move_that_answers() -> None:
    run_sheet = make_run_sheet(lesson())
    moves = moves_of(run_sheet)
    assert set(moves) == {move for facts in run_sheet.rounds for move in facts.moves}
    pages = [text_of(page) for page in opened(run_sheet)]
    cards = " ".join(page for page in pages if sheet_words("en-GB")["cards"] in page)
    assert pages[-1] in cards
    for move in moves:
        assert find(move).name("en-GB") in cards
        assert find(move).call("en-GB") in cards


def test_starts_of_the_parts_are_those_of_the_timeline() -> None:
    run_sheet = make_run_sheet(lesson())
    starts_s = starts_of(run_sheet)
    parts = parts_of_lesson(run_sheet, starts_s)
    assert [part.part for part in parts] == ["opening", "example", "round", "calm", "close", "end"]
    first_round = next(call for call in run_sheet.calls if call.part == "round")
    assert parts[2].start_s == starts_s[first_round.number - 1]
    assert parts[-1].start_s == starts_s[-1]


def test_a_short_lesson_is_one_page_and_its_cards() -> None:
    run_sheet = make_run_sheet(lesson(rounds=ROUNDS[:1]))
    assert len(opened(run_sheet)) == 2


@pytest.mark.parametrize("number", range(len(ROUNDS)))
def test_the_dial_on_paper_is_read_right_by_the_outside_reader(number: int) -> None:
    run_sheet = make_run_sheet(lesson())
    (block,) = (each for each in blocks_of(run_sheet, starts_of(run_sheet)) if each.round == number + 1)
    if len(block.board.dials) != 1 or any(lane.dial for lane in block.board.lanes):
        pytest.skip("shows other dials than one large one")
    scale = 6.0
    surface = skia.Surface(round(270 * scale), round(300 * scale))
    canvas = surface.getCanvas()
    canvas.clear(0xFFFFFFFF)
    canvas.scale(scale, scale)
    draw_clock_block(canvas, block, sheet_words("en-GB"), Rect(x=2.0, y=2.0, width=266.0, height=296.0))
    shown = surface.toarray()
    tall = shown_height(block, sheet_words("en-GB"), 256.0)
    top, left = 2.0 + 5.0 + 11.0 * 1.25 + (tall - 70.0) / 2, 2.0 + 5.0
    part = shown[
        round(top * scale) : round((top + 70) * scale), round(left * scale) : round((left + 70) * scale)
    ]
    expected = run_sheet.rounds[number].time
    assert read_dial(part).time == (expected.hour, expected.minute)


def test_the_telling_pose_of_star_jumps_has_its_arms_and_legs_apart() -> None:
    assert STEPS / 4 <= telling_step("star-jumps") <= 3 * STEPS / 4  # about the middle of the loop


def test_numbers_that_count_a_move_are_not_read_out_from_paper() -> None:
    run_sheet = make_run_sheet(lesson())
    for block in blocks_of(run_sheet, starts_of(run_sheet)):
        assert not re.search(r"\b1\. 2\. 3\.", block.together)


@pytest.mark.parametrize("language", ["es", "fr", "de"])
def test_every_language_has_every_word_of_the_sheet(language: str) -> None:
    english, other = sheet_words("en-GB"), sheet_words(language)
    assert other.keys() == english.keys()
    for key, words in english.items():
        assert slots(other[key]) == slots(words), key


def slots(words: object) -> object:
    """Return which words are filled in where, in as many lines and under the same names."""
    if isinstance(words, list):
        return len(words)
    if isinstance(words, dict):
        return {key: slots(each) for key, each in words.items()}
    return re.findall(r"{\w+}", str(words))
