"""American English: British but for the word after a quarter and how parts of the day are told."""

from __future__ import annotations

from caller.languages.en_GB.wording import English

LANGUAGE = English(code="en-US", name="English (US)", past="after", half_day=True)
