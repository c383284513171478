"""What the last row can see: marks, hands, numerals, and the precision this hall supports.

A detail is seen when it fills the eye's smallest angle. School screening refers a child who reads 20/40 or
worse, so a class may hold children at 20/40; 20/60 is the margin. The figures are those of a still,
high-contrast picture; `GLANCE` halves the distance for a moving, crowded class and a washed-out projector.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from caller.hall import DIAL_RADIUS_PER_IMAGE_HEIGHT, Hall

# The smallest gap the eye resolves, in minutes of arc: 20/20 is 1' by definition, so 20/40 is 2'.
DESIGN_ACUITY_ARCMIN = 2.0
MARGIN_ACUITY_ARCMIN = 3.0
READING_HEIGHT_ARCMIN = 20.0  # ISO 9241-3 and ANSI/HFES 100: at least 16', preferably 20' to 22'.
GLANCE = 2.0  # Judgement: a detail must be twice the bare limit to be caught at a glance.
X_HEIGHT_ARCMIN = (
    16.0  # the least for the small letters of words (ISO 9241-3, for capitals; own judgement here)
)
NUMERAL_HEIGHT_PER_RADIUS = 0.165  # as the dial is drawn: a test holds it against the drawing
# Captions and the words of a reading, as drawn where they fit on their lines; held by the same test.
CAPITAL_PER_IMAGE_HEIGHT, SMALL_LETTER_PER_IMAGE_HEIGHT = 0.0518, 0.0388
PRECISIONS_MIN = (1, 5, 15, 30, 60)
DEG_PER_MINUTE = 6.0


def size_seen_m(distance_m: float, arcmin: float) -> float:
    """Return the size that fills `arcmin` minutes of arc at this distance: s = 2 d tan(a / 2)."""
    return 2.0 * distance_m * math.tan(math.radians(arcmin / 60.0) / 2.0)


def angle_seen_arcmin(size_m: float, distance_m: float) -> float:
    """Return the angle that a size fills at this distance: a = 2 atan(s / 2d)."""
    return math.degrees(2.0 * math.atan(size_m / (2.0 * distance_m))) * 60.0


def marks_readable_to_m(
    dial_radius_m: float, *, acuity_arcmin: float = DESIGN_ACUITY_ARCMIN, glance: float = GLANCE
) -> float:
    """Return how far away the 60 minute marks can be told apart.

    By grating acuity, with half the pitch 2πr/60 for a mark and half for a gap. Marks are drawn narrower than
    their gaps, a third of the pitch; they stand for themselves, and what has to be told apart is the pitch.
    """
    gap = math.pi * dial_radius_m / 60.0
    return gap / math.tan(math.radians(acuity_arcmin / 60.0)) / glance


def smallest_angle_deg(
    dial_radius_m: float,
    distance_m: float,
    *,
    acuity_arcmin: float = DESIGN_ACUITY_ARCMIN,
    glance: float = GLANCE,
) -> float:
    """Return the smallest turn of a hand (degrees) that can be seen at its tip on the dial's edge.

    By the same grating rule as the marks: a turn of one minute, 6°, is seen exactly as far as the marks
    are.
    """
    return (
        DEG_PER_MINUTE
        * distance_m
        / marks_readable_to_m(dial_radius_m, acuity_arcmin=acuity_arcmin, glance=glance)
    )


def smallest_difference_deg(
    hall: Hall, *, acuity_arcmin: float = DESIGN_ACUITY_ARCMIN, reach: float = 1.0
) -> float:
    """Return the smallest difference between two hand angles that this hall's last row can see.

    `reach` is the hand's length as a share of the dial's radius; a shorter hand needs a larger turn.
    """
    radius = hall.screen.dial_radius_m * reach
    return smallest_angle_deg(radius, hall.screen.last_row_m, acuity_arcmin=acuity_arcmin)


def precision_min(smallest_deg: float) -> int:
    """Return the finest precision (1, 5, 15, 30 or 60 minutes) whose step is at least this turn."""
    # Half a hundredth of a degree is far below what anyone sees, and keeps exact limits from tipping over.
    return next((step for step in PRECISIONS_MIN if step * DEG_PER_MINUTE + 0.005 >= smallest_deg), 60)


def image_height_for_m(
    distance_m: float,
    *,
    precision_minutes: int = 1,
    numeral_height_per_radius: float = NUMERAL_HEIGHT_PER_RADIUS,
    dial_radius_per_image_height: float = DIAL_RADIUS_PER_IMAGE_HEIGHT,
) -> float:
    """Return the image height that shows marks of this precision and 20' numerals at `distance_m`."""
    for_numerals = size_seen_m(distance_m, READING_HEIGHT_ARCMIN) / numeral_height_per_radius
    for_marks = distance_m / (marks_readable_to_m(1.0) * precision_minutes)
    return max(for_numerals, for_marks) / dial_radius_per_image_height


def words_readable_to_m(image_height_m: float) -> float:
    """Return how far away words on the screen can be read: capitals fill 20', small letters 16'."""
    capitals = CAPITAL_PER_IMAGE_HEIGHT * image_height_m / size_seen_m(1.0, READING_HEIGHT_ARCMIN)
    small = SMALL_LETTER_PER_IMAGE_HEIGHT * image_height_m / size_seen_m(1.0, X_HEIGHT_ARCMIN)
    return min(capitals, small)


@dataclass(frozen=True, slots=True, kw_only=True)
class SightLines:
    """What the last row of a hall sees of the dial and of the words."""

    distance_m: float
    dial_radius_m: float
    smallest_mark_m: float
    smallest_difference_deg: float
    precision_minutes: int
    margin_precision_minutes: int
    marks_readable_to_m: float
    numeral_height_m: float
    numeral_arcmin: float
    numerals_readable_to_m: float
    image_height_needed_m: float
    words_readable_to_m: float

    @property
    def numerals_readable(self) -> bool:
        """Whether the numerals fill 20' at the last row."""
        return self.numerals_readable_to_m >= self.distance_m


def sight_lines(hall: Hall, *, numeral_height_per_radius: float = NUMERAL_HEIGHT_PER_RADIUS) -> SightLines:
    """Return what the last row sees, at 20/40 with a glance's allowance, and at 20/60 as the margin."""
    radius, distance = hall.screen.dial_radius_m, hall.screen.last_row_m
    difference = smallest_difference_deg(hall)
    numeral = radius * numeral_height_per_radius
    return SightLines(
        distance_m=distance,
        dial_radius_m=radius,
        smallest_mark_m=size_seen_m(distance, DESIGN_ACUITY_ARCMIN * GLANCE),
        smallest_difference_deg=difference,
        precision_minutes=precision_min(difference),
        margin_precision_minutes=precision_min(
            smallest_difference_deg(hall, acuity_arcmin=MARGIN_ACUITY_ARCMIN)
        ),
        marks_readable_to_m=marks_readable_to_m(radius),
        numeral_height_m=numeral,
        numeral_arcmin=angle_seen_arcmin(numeral, distance),
        numerals_readable_to_m=numeral / size_seen_m(1.0, READING_HEIGHT_ARCMIN),
        image_height_needed_m=image_height_for_m(
            distance,
            numeral_height_per_radius=numeral_height_per_radius,
            dial_radius_per_image_height=hall.screen.dial_radius_per_image_height,
        ),
        words_readable_to_m=words_readable_to_m(hall.screen.image_height_m),
    )
