"""The stamp on the test sheet as it is drawn: twice the least heights, the square read clockwise."""

from datetime import UTC, date, datetime

import pypdfium2
import pytest

from pinseal.documents.paper import Paper, PaperHead
from pinseal.measures import PSI_PA
from pinseal.physics.expansion import CM3
from pinseal.rules.requalification import Requalifier, TestOnRecord, stamp_of, weigh
from pinseal.service.pressure_log_shapes import TestDay, TestEntry, TestLog
from pinseal.service.pressure_log_words import sheet_data

DAY = date(2026, 11, 20)


def drawn(number: str, method: str):
    """The sheet of one passed test as PDF."""
    ours = Requalifier(number=number)
    test = TestOnRecord(
        on=DAY, passed=True, method=method, specification="4BW240", pressure_pa=480 * PSI_PA, total_m3=40 * CM3, permanent_m3=CM3
    )
    stamp, why = stamp_of(test, weigh(test), ours, "")
    assert why == ()
    entry = TestEntry(
        record="r", unit="u", name="-", owner="", method=method, passed=True, stamp=stamp,
        values={"serial": "-", "specification": "-", "disposition": "-"},
        omitted=(), missing=(), made="", held="", limit="", instrument="",
    )  # fmt: skip
    log = TestLog(
        first=DAY, last=DAY, days=(TestDay(on=DAY, checks=(), apparatus=(), tests=(entry,), others=()),), undated=(), requalifier=ours
    )
    head = PaperHead(title="Tests", kind="Sheet", shop="Quay Works", stamp=datetime(2026, 11, 28, tzinfo=UTC), lying=True)
    return Paper(template="test_sheet", head=head, data=sheet_data(log)).draw().pages.pdf


def stamp_characters(pdf: bytes):
    """The characters of the stamp, the tall ones and the small ones, each with its ink [mm]: left, top, height."""
    page = pypdfium2.PdfDocument(pdf)[0]
    text, height = page.get_textpage(), page.get_height()
    found = []
    for each in range(text.count_chars()):
        left, bottom, _, top = (value * 25.4 / 72 for value in text.get_charbox(each))
        if top - bottom > 5.5 and text.get_text_range(each, 1).strip():
            found.append((text.get_text_range(each, 1), left, height * 25.4 / 72 - top, top - bottom))
    return found


@pytest.mark.parametrize(("method", "tall"), [("water-jacket", "1126"), ("proof-pressure", "1126S")])
def test_the_stamp_has_twice_the_least_heights_and_reads_clockwise(method, tall):
    """49 CFR 180.213(d), (e), public copy as amended to 2020-12-28: at least 6.35 mm, the number at least 3.18 mm."""
    found = stamp_characters(drawn("EHLT", method))
    big = [each for each in found if each[3] > 10]
    small = [each for each in found if each[3] <= 10]
    assert "".join(each[0] for each in sorted(big, key=lambda each: each[1])) == tall
    assert {each[0] for each in small} == set("EHLT")
    for _, _, _, height in small:
        assert height == pytest.approx(2 * 3.18, abs=0.2)
    ones = [height for name, _, _, height in big if name == "1"]
    assert ones == pytest.approx([2 * 6.35] * len(ones), abs=0.2)
    places = {name: (left, top) for name, left, top, _ in small}
    assert places["E"][0] < places["H"][0]
    assert places["E"][1] == pytest.approx(places["H"][1], abs=0.2)
    assert places["T"][0] < places["L"][0]
    assert places["T"][1] == pytest.approx(places["L"][1], abs=0.2)
    assert places["E"][1] < places["T"][1]
    month, year = min(big, key=lambda each: each[1]), max(big, key=lambda each: each[1])
    assert month[1] < min(left for left, _ in places.values()) < max(left for left, _ in places.values()) < year[1]
