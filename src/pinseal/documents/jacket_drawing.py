"""From the verdict of an expansion test to the plain numbers of its picture."""

from __future__ import annotations

from pinseal.documents.jacket_plot import JacketPicture
from pinseal.rules.pressure_tests import ExpansionVerdict, percent_words


def jacket_picture(found: ExpansionVerdict, *, title: str, subtitle: str, rejection_m3: float | None = None) -> JacketPicture:
    """What the picture shows. `rejection_m3` is the marked rejection elastic expansion [m3], None where none is marked."""
    volumes, (low, high) = found.expansion, found.range_percent
    notes = ["The line with two ends is what the instrument leaves open. A pass speaks of expansion alone."]
    if found.pressure_enough is False:
        notes.insert(0, "The test pressure is below the smallest one: no valid requalification.")
    return JacketPicture(
        title=title,
        subtitle=subtitle,
        total=float(volumes.total_m3) * 1e6,
        permanent=float(volumes.permanent_m3) * 1e6,
        percent=float(volumes.percent_permanent),
        limit=float(found.limit.percent),
        between=(float(low), float(high)),
        verdict=found.verdict,
        near=found.near,
        percent_words=percent_words(volumes.percent_permanent, found.limit.percent),
        rejection_elastic=None if rejection_m3 is None else rejection_m3 * 1e6,
        notes=notes,
    )
