from __future__ import annotations

from caller.export.captions import Caption
from caller.export.subtitles import subrip, webvtt

CUES = (
    Caption(start_s=1.5, end_s=3.25, lines=("Fish & chips", "<at> four")),
    Caption(start_s=3725.0004, end_s=3727.9996, lines=("It is four forty.",)),
)


def test_webvtt_has_a_header_dotted_times_and_escaped_text() -> None:
    assert webvtt(CUES) == (
        "WEBVTT\n"
        "\n"
        "00:00:01.500 --> 00:00:03.250\n"
        "Fish &amp; chips\n"
        "&lt;at&gt; four\n"
        "\n"
        "01:02:05.000 --> 01:02:08.000\n"
        "It is four forty.\n"
    )


def test_subrip_has_numbers_and_times_with_a_comma() -> None:
    assert subrip(CUES) == (
        "1\n"
        "00:00:01,500 --> 00:00:03,250\n"
        "Fish & chips\n"
        "<at> four\n"
        "\n"
        "2\n"
        "01:02:05,000 --> 01:02:08,000\n"
        "It is four forty.\n"
    )


def test_a_second_language_is_marked_in_the_line_that_speaks_it() -> None:
    """As the W3C's WebVTT has it, 4.2.2: a language span with the tag as its annotation."""
    cue = Caption(
        start_s=0.0, end_s=2.0, lines=("Stand still.", "Ne bougez plus & silence."), languages=("en-GB", "fr")
    )
    assert webvtt([cue], "en-GB").endswith("Stand still.\n<lang fr>Ne bougez plus &amp; silence.</lang>\n")
    assert "<lang" not in webvtt([cue])
    assert "<lang" not in subrip([cue])
