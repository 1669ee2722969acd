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
