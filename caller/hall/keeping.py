"""A measurement written into a hall file, whose comments and other keys stay as they are."""

from __future__ import annotations

import tomlkit
from tomlkit.items import Table

from caller.hall.response import Measurement


def with_measured(text: str, measurement: Measurement, *, on: str) -> str:
    """Return the text of a hall file with the figures of a good measurement in `[measured]`.

    Parameters
    ----------
    on
        The day of the measurement.
    """
    document = tomlkit.parse(text)
    table = document.get("measured")
    if not isinstance(table, Table):
        table = tomlkit.table()
        if text.strip():
            document.add(tomlkit.nl())
        document["measured"] = table
    table["reverberation_s"] = [round(time_s, 2) for time_s in measurement.reverberation_s or ()]
    table["quiet_sti"] = round(measurement.quiet_sti or 0.0, 3)
    table["on"] = on
    return tomlkit.dumps(document)
