from __future__ import annotations

import pytest

from caller.languages.system import nearest, of_this_system


@pytest.mark.parametrize(
    ("tag", "code"),
    [
        ("es_MX.UTF-8", "es"),
        ("de_AT@euro", "de"),
        ("fr", "fr"),
        ("en_US.UTF-8", "en-US"),
        ("en_NZ", "en-GB"),
        ("pl_PL.UTF-8", None),
        ("C", None),
        ("", None),
    ],
)
def test_a_locale_is_met_by_its_language(tag: str, code: str | None) -> None:
    assert nearest(tag) == code


@pytest.mark.parametrize(
    ("environment", "code"),
    [
        ({"LANGUAGE": "pl:de:fr", "LANG": "es_ES.UTF-8"}, "de"),
        ({"LC_ALL": "fr_CA.UTF-8", "LANG": "es_ES.UTF-8"}, "fr"),
        ({"LANG": "es_ES.UTF-8"}, "es"),
        ({"LANG": "pl_PL.UTF-8"}, "en-GB"),
        ({"LANG": "C.UTF-8"}, "en-GB"),
    ],
)
def test_the_screens_speak_the_language_of_the_computer(environment: dict[str, str], code: str) -> None:
    assert of_this_system(environment) == code
