"""`make words`: the catalogue holds no day and no machine, and a translation changes only with its words."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest

from pinseal import catalogue

ROOT = Path(__file__).resolve().parents[2]
sys.path.append(str(ROOT / "tools"))
words = pytest.importorskip("words")

POLISH = """msgid ""
msgstr ""
"Content-Type: text/plain; charset=utf-8\\n"
"POT-Creation-Date: 2026-01-02 03:04+0000\\n"
"PO-Revision-Date: 2026-01-03 03:04+0000\\n"
"Plural-Forms: nplurals=3; plural=(n==1 ? 0 : n%10>=2 && n%10<=4 && (n%100<12 || n%100>14) ? 1 : 2);\\n"

msgid "Today"
msgstr "Dzonda"

msgid "No longer said"
msgstr "Bonda"
"""


def test_the_catalogue_names_no_day_and_no_machine() -> None:
    text = (catalogue.FOLDER / "pinseal.pot").read_text(encoding="utf-8")
    assert "Date" not in text.split("\n\n")[0]
    assert not re.search(r"^#: (.* )?/|^#: .*:\d+", text, re.MULTILINE)  # no path from the root, no line number


def test_a_translation_takes_new_messages_in_keeps_its_words_and_then_stays(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "pl"
    folder.mkdir()
    (folder / "pinseal.po").write_text(POLISH, encoding="utf-8")
    monkeypatch.setattr(words, "FOLDER", tmp_path)
    monkeypatch.setattr(catalogue, "FOLDER", tmp_path)
    made = dict(words.wanted_files())
    text = made[folder / "pinseal.po"].decode()
    assert 'msgstr "Dzonda"' in text and 'msgid "Dues"' in text and '#~ msgid "No longer said"' in text
    for path in (folder / "pinseal.po", folder / "pinseal.mo"):
        path.write_bytes(made[path])
    again = dict(words.wanted_files())
    assert all(again[path] == path.read_bytes() for path in (folder / "pinseal.po", folder / "pinseal.mo"))
    with catalogue.spoken("pl"):
        assert catalogue.gettext("Today") == "Dzonda"
        assert catalogue.ngettext("%(n)s unit", "%(n)s units", 5) == "5 units"  # not translated yet: English, never empty
        assert catalogue.form_rule() == "(n==1 ? 0 : n%10>=2 && n%10<=4 && (n%100<12 || n%100>14) ? 1 : 2)"
