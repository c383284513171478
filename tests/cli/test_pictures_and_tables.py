"""`hall-caller dial`, `hall-caller explain` and `hall-caller moves`, as typed."""

from __future__ import annotations

import io
import json
from pathlib import Path

import numpy as np
import pypdfium2 as pdfium
import pytest
from numpy.typing import NDArray
from PIL import Image

from caller.cli import main
from caller.clock import ClockTime
from caller.clock.ladder import step_of
from caller.clock.mixups import MIXUPS
from caller.clock.wrong import rank, refused
from caller.languages import language
from caller.moves import catalogue
from caller.screen.skia_door import skia
from tests.reference.dial_reader import read_dial


def pixels_of(path: Path) -> NDArray[np.uint8]:
    """Return a picture's pixels on white, by readers of our own choice for each kind."""
    data = path.read_bytes()
    match path.suffix:
        case ".png":
            image = Image.open(io.BytesIO(data)).convert("RGBA")
            white = Image.new("RGBA", image.size, "white")
            return np.asarray(Image.alpha_composite(white, image).convert("RGB"))
        case ".pdf":
            return np.asarray(pdfium.PdfDocument(data)[0].render(scale=2).to_numpy())
        case _:
            surface = skia.Surface(400, 400)
            surface.getCanvas().clear(0xFFFFFFFF)
            skia.SVGDOM.MakeFromStream(skia.MemoryStream.MakeCopy(data)).render(surface.getCanvas())
            return np.asarray(surface.toarray())


@pytest.mark.parametrize("ending", ["png", "svg", "pdf"])
@pytest.mark.parametrize("time", ["4:40", "12:00", "9:07"])
def test_a_written_dial_is_read_right_by_the_outside_reader(tmp_path: Path, time: str, ending: str) -> None:
    target = tmp_path / f"dial.{ending}"
    assert main(["dial", time, "--to", str(target), "--size", "400"]) == 0
    hour, minute = time.split(":")
    assert read_dial(pixels_of(target)).time == (int(hour), int(minute))
    assert list(tmp_path.iterdir()) == [target]


def test_a_blank_dial_has_no_hands(tmp_path: Path) -> None:
    for name in ("blank", "4:40"):
        assert main(["dial", name, "--to", str(tmp_path / f"{name[0]}.png"), "--size", "200"]) == 0
    blank, full = (pixels_of(tmp_path / name)[80:120, 80:120].min() for name in ("b.png", "4.png"))
    assert blank == 255
    assert full < 64


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["dial", "16:40", "--to", "d.png"], '"16:40" is a time of the 24-hour clock; on a dial write 4:40.'),
        (
            ["dial", "noon", "--to", "d.png"],
            '"noon" is not written as a time: write the hour, a colon and two digits, such as 4:40.',
        ),
        (
            ["dial", "4:40", "--to", "d.bmp"],
            '"d.bmp" does not say what picture to write: end its name in .png, .svg or .pdf.',
        ),
        (["dial", "4:40", "--to", "no/d.png"], 'There is no folder "no" to write d.png to. Make it first.'),
        (["explain", "4:60"], '"4:60" is not a time: the minutes go from 00 to 59.'),
        (
            ["explain", "4:40", "--to", "e"],
            '"e" does not say what picture to write: end its name in .png, .svg or .pdf.',
        ),
        (["moves", "star-jump"], 'There is no move called "star-jump"; did you mean "star-jumps"?'),
        (
            ["moves", "march", "--to", "m.svg"],
            '"m.svg" does not say what picture to write: end its name in .png.',
        ),
        (
            ["moves", "--to", "m.png"],
            "Name the move whose filmstrip to write, such as: hall-caller moves star-jumps --to strip.png",
        ),
    ],
)
def test_a_mistake_is_one_kind_sentence(
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    words: list[str],
    said: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(words) == 2
    out, error = capsys.readouterr()
    assert error == f"hall-caller: {said}\n"
    assert out == ""
    assert list(tmp_path.iterdir()) == []


def test_a_size_that_is_no_size_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit, match="2"):
        main(["dial", "4:40", "--to", "d.png", "--size", "huge"])
    assert "argument --size: 'huge' is not a whole number from 16 to 8000" in capsys.readouterr().err


def test_explain_tells_the_reason_and_every_wrong_reading(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", "4:40"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    time, manners = ClockTime(4, 40), language("en-GB").manners(["analogue"])
    assert text.startswith("4:40: twenty to five, four forty Step: Fives to the hour (fives-to);")
    assert "Back to 9 it is 15, then 20. Twenty to five." in text
    for candidate in rank(time, step=step_of(time), manners=manners):
        assert (candidate.why if candidate.mixups else str(candidate.time)) in text
        assert all(each.explanation in text for each in MIXUPS if each.name in candidate.mixups)
    for refusal in refused(time, step=step_of(time), manners=manners):
        assert refusal.reason in text
    assert all(f"{each.code}, ages {each.age}: {each.says}" in text for each in step_of(time).standards)
    assert "The class hears: Swapping the two hands gives twenty past eight." in text


def test_explain_as_json_is_the_ranking_best_first(capsys: pytest.CaptureFixture[str]) -> None:
    assert (
        main(["explain", "4:43", "--step", "minutes", "--language", "de", "--register", "digital", "--json"])
        == 0
    )
    told = json.loads(capsys.readouterr().out)
    assert told["time"] == "4:43"
    assert told["digital"] == "vier Uhr dreiundvierzig"
    assert told["step"] == "minutes"
    scores = [wrong["score"] for wrong in told["wrong"] if wrong["mixups"]]
    assert scores == sorted(scores, reverse=True)
    names = {mixup.name for mixup in MIXUPS}
    assert all(set(wrong["mixups"]) <= names for wrong in told["wrong"])
    for wrong in told["wrong"]:
        assert sum(wrong["parts"].values()) == pytest.approx(wrong["score"])


@pytest.mark.parametrize("ending", ["png", "svg", "pdf"])
def test_explain_draws_its_picture(tmp_path: Path, ending: str) -> None:
    target = tmp_path / f"why.{ending}"
    assert main(["explain", "4:40", "--to", str(target)]) == 0
    assert pixels_of(target).std() > 10


def test_moves_lists_every_move_once(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["moves"]) == 0
    lines = capsys.readouterr().out.splitlines()
    first_words = [line.split()[0] for line in lines[1 : 1 + len(catalogue())]]
    assert first_words == list(catalogue())
    assert "Local rules, the school's policy and qualified staff decide." in " ".join(lines)


def test_a_move_is_told_in_full_with_its_cautions(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["moves", "Star Jumps"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    move = catalogue()["star-jumps"]
    for words in (move.name(), move.call(), move.how(), move.easier(), move.caution(), move.effort.status):
        assert words in text
    assert "Local rules, the school's policy and qualified staff decide." in text


def test_moves_as_json_hold_what_the_catalogue_holds(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["moves", "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)
    assert [row["slug"] for row in rows] == list(catalogue())
    assert all(row["names"]["fr"] == catalogue()[row["slug"]].name("fr") for row in rows)


def test_a_filmstrip_is_a_row_of_pictures(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "strip.png"
    assert main(["moves", "squats", "--to", str(target)]) == 0
    assert "squats" in capsys.readouterr().out
    pixels = pixels_of(target).astype(float)
    assert pixels.shape[1] > 3 * pixels.shape[0]
    frames = np.split(pixels[:, : pixels.shape[1] // 6 * 6], 6, axis=1)
    assert all(frame.std() > 5 for frame in frames)
    assert np.abs(frames[0] - frames[3]).mean() > 1  # it moves
