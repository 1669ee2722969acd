"""`print report` through a real shop: what the paper says, its twin, and what is refused."""

import hashlib
import io
import json
from datetime import UTC, datetime

import pikepdf
import pypdfium2
import pytest
import zxingcpp
from PIL import Image

from pinseal.app import App
from pinseal.cli.command import run
from pinseal.store import Shop

DAY = "2026-11-24"


class FixedApp(App):
    def now(self):
        return datetime(2026, 11, 24, 22, 0, tzinfo=UTC)


class Desk:
    """A small shop at the Pier Café, asked by command."""

    def __init__(self, folder, capsys):
        self.path, self.folder, self.capsys = folder / "pier.pinseal", folder, capsys
        assert run(FixedApp(), ["init", str(self.path), "--packs", "us-osha", "--time-zone", "America/New_York"]) == 0
        self("settings", "--firm", "name=Quay Works", "--units", "us")

    def __call__(self, *words, code=0):
        self.capsys.readouterr()
        found = run(FixedApp(), [*map(str, words), "--shop", str(self.path)])
        said = self.capsys.readouterr()
        assert found == code, said
        return said

    def unit(self, number, place="Kitchen", on="2026-01-05", **more):
        fields = {"site": "Pier Café", "place": place, "agent": "abc", "manufactured": "2024-05", "shell": "mild-steel"} | more
        fields |= {
            "expelled-by": "stored-pressure",
            "last-maintenance": "2026-02-03",
            "last-inspection": "2026-11-02",
            "rechargeable": "yes",
            "hose": "none",
            "wheeled": "no",
        }
        self("record", "registered", number, "--on", on, *(f"--{name}={value}" for name, value in fields.items()))

    def did(self, kind, number, on=DAY, **fields):
        said = self(
            "record", kind, number, "--on", on, *(f"--{name.replace('_', '-')}={value}" for name, value in fields.items()), "--json"
        )
        return json.loads(said.out)["record"]["uid"]

    def photo(self, content):
        with Shop.open(self.path) as shop:
            return shop.add_file("p.png", content, person="Ida Quill", received=FixedApp().now())

    def report(self, *more, site="Pier Café"):
        return json.loads(self("print", "report", site, "--on", DAY, "--out", self.folder / "r.pdf", "--json", *more).out)

    def text(self):
        pages = pypdfium2.PdfDocument(self.folder / "r.pdf")
        return "\n".join(pages[i].get_textpage().get_text_range() for i in range(len(pages))).replace("\r\n", "\n")


@pytest.fixture
def desk(tmp_path, capsys):
    return Desk(tmp_path, capsys)


def png(side=400, colour="teal"):
    out = io.BytesIO()
    Image.new("RGB", (side, side), colour).save(out, "PNG")
    return out.getvalue()


@pytest.fixture
def visited(desk):
    for number in range(1, 7):
        desk.unit(f"PC-{number}", place=f"Room {number}")
    desk.unit("WS-1", site="Workshop", place="shelf")
    desk.did("inspected", "PC-1")
    desk.did("inspected", "PC-2")
    desk.did("found-deficient", "PC-2", finding="low-pressure", words="needle under the band", action="recharge")
    desk.did("not-done", "PC-3", reason="looked for and not found at its place", missing="yes")
    loaner = {each.id: each.uid for each in Shop.open(desk.path, readonly=True).units()}["WS-1"]
    desk.did("taken-away", "PC-4", taken_to="bench", loaner=loaner, back_by="2026-12-01", reason="leaks")
    desk.did("moved", "WS-1", site="Pier Café", place="Room 4")
    desk.did("moved", "PC-5", site="Pier Café", place="Cellar")
    desk.did("noted", "PC-1", handed_to="Ada Merrow", note="Handed over to Ada Merrow")
    return desk


def test_the_line_and_the_sums_of_a_visit(visited):
    said = visited.report()
    assert said["line"] == (
        "6 listed, 4 found, 1 missing, 1 not looked at; 1 more that was not listed here before. "
        "3 ready; 1 missing; 1 away with a loaner in its place; 1 not in order; 1 not looked at. 2 need a decision."
    )
    assert sum(said["counts"]["where"].values()) == said["counts"]["listed"] == 6
    assert sum(said["counts"]["results"].values()) == len(said["units"]) == 7
    assert {each["id"]: each["result"] for each in said["units"]}["PC-5"] == "ready"


def test_the_paper_says_what_its_twin_says(visited):
    said = visited.report()
    text = " ".join(visited.text().split())
    assert said["line"] in text
    for words in (
        "Needle under the band",
        "WS-1 hangs in its place",
        "To be back by 1 Dec 2026",
        "Cellar (listed at Room 5)",
        "Ada Merrow",
    ):
        assert words in text
    for group in range(0, 64, 16):
        assert said["rests_on"]["hash"][group : group + 16] in text
    assert [each["id"] for each in said["units"]] == sorted([e["id"] for e in said["units"]], key=text.rindex)


def test_the_hash_is_that_of_the_records_in_the_shop(visited):
    rests = visited.report()["rests_on"]
    kept = {record.uid: record.digest for record in Shop.open(visited.path, readonly=True).records()}
    assert rests["records"] == [{"uid": uid, "digest": kept[uid]} for uid in sorted(each["uid"] for each in rests["records"])]
    lines = [rests["about"], *(f"{each['uid']} {each['digest']}" for each in rests["records"])]
    assert hashlib.sha256("".join(f"{line}\n" for line in lines).encode()).hexdigest() == rests["hash"]


def test_every_record_of_the_day_is_among_those_it_rests_on(visited):
    held = {each["uid"] for each in visited.report()["rests_on"]["records"]}
    assert {record.uid for record in Shop.open(visited.path, readonly=True).records() if str(record.done) == DAY} <= held


def test_the_paper_is_archivable_and_tagged(visited):
    visited.report()
    with pikepdf.open(visited.folder / "r.pdf") as pdf, pdf.open_metadata() as about:
        assert (about["pdfaid:part"], about["pdfaid:conformance"], about["pdfuaid:part"]) == ("2", "B", "1")
        assert pdf.Root.MarkInfo.Marked


def test_a_photo_is_shown_small_and_one_that_is_missing_is_said(visited):
    there, lost = visited.photo(png(3000)), visited.photo(png(colour="red"))
    visited.did("noted", "PC-1", file=there, note="bracket after the work")
    visited.did("noted", "PC-2", file=lost, note="the gauge")
    (visited.path.with_name("pier.pinseal.files") / lost).unlink()
    said = visited.report()
    assert [each["shows"] for each in said["photos"]] == ["bracket after the work", "the gauge"]
    text = " ".join(visited.text().split())
    assert f"The photo is not here, or cannot be read. Its record names the file {lost[:12]}" in text
    with pikepdf.open(visited.folder / "r.pdf") as pdf:
        widths = [
            int(image.Width)
            for page in pdf.pages
            for image in page.get("/Resources", {}).get("/XObject", {}).values()
            if image.get("/Width")
        ]
    assert max(widths) == 640


def test_a_signature_is_shown_with_the_name_and_not_as_a_photo(visited):
    visited.did("noted", "PC-2", handed_to="Ada Merrow", file=visited.photo(png()), note="Handed over to Ada Merrow")
    said = visited.report()
    assert said["photos"] == []
    assert {each["name"] for each in said["handed_over"]} == {"Ada Merrow"}


def test_a_file_that_is_no_picture_does_not_stop_the_report(visited):
    visited.did("noted", "PC-1", file=visited.photo(b"%PDF-1.7 a paper"), note="the old test sheet")
    visited.report()
    assert "cannot be read" in visited.text()


def test_without_a_day_the_last_visit_is_told(visited):
    visited.did("inspected", "PC-1", on="2026-11-20")
    said = json.loads(visited("print", "report", "pier  café", "--out", visited.folder / "r.pdf", "--json").out)
    assert (said["site"], said["from"], said["to"]) == ("Pier Café", DAY, DAY)


def test_a_visit_of_several_days_counts_each_unit_once(visited):
    visited.did("inspected", "PC-6", on="2026-11-23")
    words = ("print", "report", "Pier Café", "--from", "2026-11-23", "--to", DAY, "--out", visited.folder / "r.pdf", "--json")
    counts = json.loads(visited(*words).out)["counts"]
    assert (counts["listed"], counts["found"], counts["where"]["unlooked"]) == (6, 5, 0)


def test_a_site_whose_units_are_all_gone_makes_a_report_of_none(desk):
    desk.unit("PC-1")
    desk.did("removed", "PC-1", on="2026-03-01", reason="sold")
    said = desk.report()
    assert said["line"] == "No unit is listed here, and none was found."
    assert "No unit is listed here" in desk.text()


def test_a_unit_written_down_on_the_visit_was_not_listed(visited):
    visited.unit("PC-9", on=DAY)
    said = visited.report()
    assert (said["counts"]["listed"], said["counts"]["added"]) == (6, 2)


def test_what_was_recorded_later_leaves_the_report_of_the_day_as_it_was(visited):
    before = visited.report()
    visited.did("remedied", "PC-2", on="2026-11-26", finding="low-pressure", how="recharged")
    visited.did("inspected", "PC-6", on="2026-11-26")
    assert visited.report()["counts"] == before["counts"]
    assert visited.report()["rests_on"]["hash"] == before["rests_on"]["hash"]


def test_a_correction_is_part_of_what_the_report_rests_on(visited):
    before = visited.report()
    wrong = visited.did("inspected", "PC-6")
    visited.did("corrected", "PC-6", on="2026-11-26", corrects=wrong, void="yes", reason="another unit")
    after = visited.report()
    assert after["counts"] == before["counts"]


@pytest.mark.parametrize(
    "name",
    ["Ærøskøbing " * 18, "消防站", "مستودع النفط", "#strong[x] *b* $y$ \\ @z", "</script><b>"],
    ids=["long", "chinese", "arabic", "markup", "html"],
)
def test_names_of_any_kind_stay_on_the_page(desk, name):
    desk.unit("PC-1", place=name.strip(), site=name.strip())
    desk.did("inspected", "PC-1", note=name.strip())
    desk.report("--proof", desk.folder / "p.html", site=name.strip())
    for page in pypdfium2.PdfDocument(desk.folder / "r.pdf"):
        text = page.get_textpage()
        assert max(text.get_charbox(each)[2] for each in range(text.count_chars())) < page.get_width() - 40
    assert (desk.folder / "p.html").read_text(encoding="utf-8").count("</script>") == 3


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("Pier Kiosk", "--on", DAY), "no such site"),
        (("pier", "--on", DAY), "did you mean Pier Café"),
        (("Pier Café", "--on", DAY, "--from", DAY), "said twice"),
        (("Pier Café", "--from", DAY, "--to", "2026-11-01"), "these days are no visit"),
        (("Pier Café", "--from", "2025-01-01", "--to", DAY), "92 days at most"),
        (("Pier Café",), "no visit to report"),
        (("Pier Café", "--on", "2026-11-25"), "has not been made yet"),
        (("Pier Café", "--on", DAY, "--proof", "proof.pdf"), "ends in .html"),
    ],
)
def test_what_is_not_right_is_refused_in_words(desk, words, said):
    desk.unit("PC-1")
    assert said in desk("print", "report", *words, "--out", desk.folder / "r.pdf", code=2).err


def test_the_proof_holds_back_the_text_of_a_record_that_names_somebody_who_was_erased(visited):
    with Shop.open(visited.path) as shop:
        shop.veil("Ada Merrow", received=FixedApp().now())
    said = visited.report("--proof", visited.folder / "p.html")
    page = (visited.folder / "p.html").read_text(encoding="utf-8")
    assert '"text":null' in page
    assert '"handed-to":"Ada Merrow"' not in page.replace('\\"', '"')
    assert said["handed_over"][0]["name"] == "erased person 1"


def test_a_report_tells_of_its_own_site_alone(visited):
    visited.did("moved", "PC-6", site="Gannet House", place="Pantry")
    said = visited.report("--proof", visited.folder / "p.html")
    row = next(each for each in said["units"] if each["id"] == "PC-6")
    assert (row["result"], row["where"], row["place"]) == ("gone", "gone", "Room 6")
    for other in ("Gannet House", "Pantry", "Workshop"):
        assert other not in visited.text()
        assert other not in json.dumps(said)
        assert other not in (visited.folder / "p.html").read_text(encoding="utf-8")


def test_the_code_on_the_paper_holds_the_hash(visited):
    """zxing-cpp reads what zint wrote: two makers that do not know each other."""
    said = visited.report()
    found = [
        code.text
        for page in pypdfium2.PdfDocument(visited.folder / "r.pdf")
        for code in zxingcpp.read_barcodes(page.render(scale=3).to_pil())
    ]
    assert found == [said["rests_on"]["hash"]]
