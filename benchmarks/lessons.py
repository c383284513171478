"""How active each ready lesson is, by this voice: what its calls ask for, and what a class likely does.

Moderate is 3 METy and above in the youth compendium (Butte et al. 2018, from memory) or its stand-in; of the
children asked to move some 85 % do (Beemer et al. 2018, abstract). A round is the median one.
"""

from __future__ import annotations

import statistics
from collections import defaultdict
from pathlib import Path

from caller.lesson.library import ready_lessons
from caller.planning.dosage import activity_of, spells
from caller.planning.lengths import SpokenLengths, spoken_lengths
from caller.planning.staging import rehearse_file
from caller.timeline import seconds_of


def main() -> None:
    print("| lesson | minutes | clocks | asked to move | likely | round | standing in it |")
    print("|---|---|---|---|---|---|---|")
    with spoken_lengths() as lengths:
        for name, path in ready_lessons().items():
            print(_row(name, path, lengths))


def _row(name: str, path: Path, lengths: SpokenLengths) -> str:
    rehearsal = rehearse_file(path, lengths)
    age_y = rehearsal.lesson.age
    found = activity_of(rehearsal.layouts, rehearsal.gentler, len(rehearsal.lesson.rounds), age_y=age_y)
    whole: dict[int, float] = defaultdict(float)
    standing: dict[int, float] = defaultdict(float)
    for layout in rehearsal.layouts:
        number = layout.call.round
        if number is not None:
            whole[number] += seconds_of(layout.length)
            standing[number] += sum(
                spell.seconds for spell in spells([layout], age_y=age_y) if spell.move is None
            )
    round_s, standing_s = statistics.median(whole.values()), statistics.median(standing.values())
    seated = ", seated" if rehearsal.lesson.seated else ""
    return (
        f"| {name}{seated} | {rehearsal.length_s / 60:.1f} | {len(whole)} | {found.share:.0%} "
        f"({found.seconds / 60:.1f} min) | {found.likely_share:.0%} | {round_s:.0f} s "
        f"| {standing_s:.0f} s |"
    )


if __name__ == "__main__":
    main()
