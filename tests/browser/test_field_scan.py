"""Find by scan: the camera shows a code, and the page leads to its unit, without a signal too; a strange code is said in words."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
import segno
from hands import SITE, go, rows, take_along

SIZE = (640, 480)
FRAMES = 12
# Code 128 (ISO/IEC 15417): the widths of bars and spaces by the value of a symbol. From memory; the reader that is tested is the check.
_WIDTHS = """
    212222 222122 222221 121223 121322 131222 122213 122312 132212 221213 221312 231212 112232 122132 122231 113222 123122 123221 223211
    221132 221231 213212 223112 312131 311222 321122 321221 312212 322112 322211 212123 212321 232121 111323 131123 131321 112313 132113
    132311 211313 231113 231311 112133 112331 132131 113123 113321 133121 313121 211331 231131 213113 213311 213131 311123 311321 331121
    312113 312311 332111 314111 221411 431111 111224 111422 121124 121421 141122 141221 112214 112412 122114 122411 142112 142211 241211
    221114 413111 241112 134111 111242 121142 121241 114212 124112 124211 411212 421112 421211 212141 214121 412121 111143 111341 131141
    114113 114311 411113 411311 113141 114131 311141 411131 211412 211214 211232 2331112
""".split()  # noqa: SIM905
START_B, STOP = 104, 106


def qr(text: str, scale: int = 6) -> np.ndarray:
    """A QR code as grey figures, with its quiet zone."""
    bits = np.array(segno.make(text, error="m", micro=False).matrix, dtype=np.uint8)
    quiet = np.pad(bits, 4)
    return np.kron((1 - quiet) * 255, np.ones((scale, scale), dtype=np.uint8))


def code128(text: str, module: int = 3, high: int = 160) -> np.ndarray:
    """A Code 128 symbol of code set B."""
    values = [START_B, *(ord(each) - 32 for each in text)]
    values += [(values[0] + sum(place * value for place, value in enumerate(values[1:], start=1))) % 103, STOP]
    row = [255] * 10
    for value in values:
        for place, width in enumerate(_WIDTHS[value]):
            row += [0 if place % 2 == 0 else 255] * int(width)
    return np.tile(np.repeat(np.array([*row, *[255] * 10], dtype=np.uint8), module), (high, 1))


def film(path: Path, picture: np.ndarray) -> Path:
    """A film for the fake camera (YUV4MPEG2, 4:2:0): the picture on grey, a little unquiet."""
    wide, high = SIZE
    chance = np.random.default_rng(7)
    with path.open("wb") as out:
        out.write(f"YUV4MPEG2 W{wide} H{high} F10:1 Ip A1:1 C420jpeg\n".encode())
        for frame in range(FRAMES):
            ground = np.full((high, wide), 170.0)
            top, left = (high - picture.shape[0]) // 2 + frame % 3, (wide - picture.shape[1]) // 2 + frame % 2
            ground[top : top + picture.shape[0], left : left + picture.shape[1]] = picture
            ground = np.clip(ground + chance.normal(0, 12, ground.shape), 0, 255).astype(np.uint8)
            out.write(b"FRAME\n" + ground.tobytes() + bytes([128]) * (wide * high // 2))
    return path


def watched(context):
    page = context.new_page()
    page.wrong = []
    page.on("pageerror", lambda error: page.wrong.append(str(error)))
    page.on("console", lambda said: page.wrong.append(said.text) if "Content Security Policy" in said.text else None)
    page.asked = []
    page.on("request", lambda request: page.asked.append(request.url))
    return page


def a_unit(served):
    """The uid and the number of a unit of the site."""
    for uid, said in rows(served, "select unit, fields from records where kind = 'registered' order by unit"):
        fields = json.loads(said)
        if fields.get("site") == SITE and fields.get("id"):
            return uid, fields["id"]
    raise AssertionError("the site has units")


def prepared(context, served):
    """A phone that took the day along and holds the reader."""
    page = watched(context)
    take_along(page, served)
    page.wait_for_function("async () => (await (await caches.open('reader')).keys()).length === 3")
    assert not [each for each in page.asked if "/reader/" in each], "the page itself does not load the reader"
    return page


@pytest.mark.parametrize("kind", ["address", "code-128"])
def test_a_code_leads_to_its_unit_without_a_signal(served, phone, tmp_path, kind):
    uid, number = a_unit(served)
    picture = qr(f"https://shop.example/u/{uid}", 5) if kind == "address" else code128(number)
    with phone(film=film(tmp_path / "film.y4m", picture)) as context:
        page = prepared(context, served)
        context.set_offline(True)
        served.kill()
        page.reload()
        go(page, "walk")
        page.get_by_role("button", name="Scan a code").click()
        page.wait_for_function("(uid) => location.hash === `#/job/${uid}`", arg=uid, timeout=30_000)
        page.locator("#where").get_by_text(number).wait_for()
        assert not page.wrong, page.wrong
        assert all(each.startswith((served.address, "blob:")) for each in page.asked), "no other host is asked"


def test_an_unknown_code_is_said_in_words_and_leads_to_the_search_and_to_writing_it_down(served, phone, tmp_path):
    with phone(film=film(tmp_path / "film.y4m", qr("https://maker.example/p/12", 6))) as context:
        page = prepared(context, served)
        go(page, "scan")
        page.get_by_role("heading", name="No unit of today has this code").wait_for(timeout=30_000)
        assert "https://maker.example/p/12" in page.locator("main").inner_text()
        page.get_by_role("button", name="Search with words").click()
        page.get_by_label("Find a unit").wait_for()
        go(page, "scan")
        page.get_by_role("button", name="Not listed").click(timeout=30_000)
        assert page.get_by_label("Number on it").input_value() == "https://maker.example/p/12"


def test_where_there_is_no_camera_the_number_is_typed(served, phone):
    uid, number = a_unit(served)
    with phone() as context:
        page = prepared(context, served)
        go(page, "scan")
        page.get_by_text("The camera cannot be used here.").wait_for()
        page.get_by_label("Or type the number").fill(number.lower())
        page.get_by_role("button", name="Open", exact=True).click()
        page.wait_for_function("(uid) => location.hash === `#/job/${uid}`", arg=uid)
