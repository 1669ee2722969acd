"""The page's own module says of every case what the shop's judges say. The cases are in `tests/vectors`."""

from __future__ import annotations

import json
from pathlib import Path

CASES = Path(__file__).parent.parent / "vectors" / "field_limits.json"
_JUDGED = """async ([folder, kept]) => {
  const { judge } = await import(`${folder}/judge.js`);
  const { read } = await import(`${folder}/measures.js`);
  return Object.entries(kept.cases).map(([name, each]) => {
    const figures = Object.fromEntries(Object.entries(each.texts).map(([key, text]) => [key, read(each.quantities[key], text)]));
    const found = judge(kept.limits[each.limit], figures, each.scale ?? undefined);
    return [name, found?.verdict ?? "nothing", found?.local ?? false];
  });
}"""


def test_the_phone_says_what_the_shop_says(served, phone):
    kept = json.loads(CASES.read_text(encoding="utf-8"))
    with phone() as context:
        page = context.new_page()
        page.goto(f"{served.address}/field")
        folder = page.locator("script[type=module]").get_attribute("src").rpartition("/")[0]
        said = page.evaluate(_JUDGED, [folder, kept])
    wrong = [(name, verdict, kept["cases"][name]["verdict"]) for name, verdict, _ in said if verdict != kept["cases"][name]["verdict"]]
    assert not wrong, f"{len(wrong)} of {len(said)}: {wrong[:12]}"
    assert not [name for name, _, local in said if local], "no case is left to the shop"


FIGURES = Path(__file__).parent.parent / "vectors" / "jacket_figures.json"
_WORKED_OUT = """async ([file, kept]) => {
  const { exact, ratio, jacket, daily, enough } = await import(file);
  const times = (a, b) => a && [a[0] * b[0], a[1] * b[1]];
  const [least, most] = [ratio(kept.least), ratio(kept.most)];
  const volumes = (each) => Object.fromEntries(["total", "permanent", "rejection"].map(
    (name) => [name, times(exact(each[name]), ratio(each.factor))]));
  return {
    jacket: kept.jacket.map((each) => jacket(volumes(each), { limit: ratio(each.limit), least, most })),
    pressure: kept.pressure.map((each) => enough(exact(each.text), ratio(each.least))),
    daily: kept.daily.map((each) => daily({ certified: exact(each.certified), read: exact(each.read) }, { limit: ratio(each.limit) })),
  };
}"""


def test_the_live_figures_of_a_jacket_test_are_those_of_the_shop(served, phone):
    kept = json.loads(FIGURES.read_text(encoding="utf-8"))
    with phone() as context:
        page = context.new_page()
        page.goto(f"{served.address}/bench/tests")
        file = page.locator("script[type=module]").get_attribute("src")
        said = page.evaluate(_WORKED_OUT, [file, kept])
    told = [{name: case[name] for name in ("word", "elastic", "percent") if name in case} for case in kept["jacket"]]
    assert said["jacket"] == told
    assert said["pressure"] == [case["enough"] for case in kept["pressure"]]
    assert said["daily"] == [{"word": case["word"], "percent": case["percent"]} for case in kept["daily"]]


def test_the_live_figures_say_nothing_of_what_cannot_be_read(served, phone):
    odd = ["", "x", "1,200", "1.2.3", "1e3", "0x10", "٣", "1 000", "--1", "9" * 61, "92 mL", None]
    with phone() as context:
        page = context.new_page()
        page.goto(f"{served.address}/bench/tests")
        file = page.locator("script[type=module]").get_attribute("src")
        said = page.evaluate(
            "async ([file, odd]) => { const { exact } = await import(file); return odd.map((each) => exact(each)); }", [file, odd]
        )
    assert said == [None] * len(odd)
