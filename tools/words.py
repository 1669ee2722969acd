"""Collect what people read into `locale/pinseal.pot` and ready each language, or with --check tell what is stale.

A message is found by its call (`_`, `ngettext`, `pgettext`, `marked`, `trans`), in the tables of labels, and in the words of
the field page. Nothing in the catalogue depends on the day or on the machine.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract_from_file
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po
from words_below import messages_below

from pinseal.catalogue import DOMAIN, FOLDER
from pinseal.web.field_words import counts, field_messages

ROOT = Path(__file__).resolve().parent.parent
SOURCE = ROOT / "src" / "pinseal"
POT = SOURCE / "locale" / f"{DOMAIN}.pot"
_ROOMS = ("web", "documents")
_KEYWORDS: dict[str, Any] = {"_": None, "gettext": None, "ngettext": (1, 2), "pgettext": ((1, "c"), 2), "marked": None}
_HEAD = '# Every message that people read, in English. Made by `make words`; do not edit.\nmsgid ""\nmsgstr ""\n'
_HEAD += '"Project-Id-Version: pinseal\\n"\n"MIME-Version: 1.0\\n"\n"Content-Type: text/plain; charset=utf-8\\n"\n'
_HEAD += '"Content-Transfer-Encoding: 8bit\\n"\n\n'
Found = tuple[Any, str, str | None, list[str]]  # message (one, or one and many), where, context, notes


def _from_code() -> Iterator[Found]:
    """Calls in Python files and in templates."""
    for room in _ROOMS:
        for method, pattern in (("python", "*.py"), ("jinja2", "*.html")):
            options = {"newstyle_gettext": "true", "trimmed": "true", "silent": "false"} if method == "jinja2" else {}
            for path in sorted((SOURCE / room).rglob(pattern)):
                where = path.relative_to(ROOT).as_posix()
                for _, message, notes, context in extract_from_file(method, path, _KEYWORDS, ("words:",), options, True):
                    yield message, where, context, list(notes)


def _from_below() -> Iterator[Found]:
    """What the rooms below say; the same text from several places is one message."""
    for message, where, note in messages_below():
        yield message, where, None, [note] if note else []


def _from_field() -> Iterator[Found]:
    """The sentences of the field page. One that says a count has forms, even where English has the same twice."""
    for key, message in field_messages().items():
        yield (message if counts(message) else message[0]), "src/pinseal/web/static/field/words.js", None, [f"field page: {key}"]


def template() -> Catalog:
    """The catalogue without a language."""
    found = Catalog(project=DOMAIN, charset="utf-8")
    for message, where, context, notes in (*_from_code(), *_from_below(), *_from_field()):
        if message and message != ("", ""):
            found.add(message, locations=[(where, 0)], auto_comments=notes, context=context)
    return found


def _text(catalogue: Catalog, head: str = "") -> str:
    out = BytesIO()
    write_po(out, catalogue, width=120, omit_header=bool(head), sort_output=True, include_lineno=False)
    return head + out.getvalue().decode()


def _compiled(catalogue: Catalog) -> bytes:
    out = BytesIO()
    write_mo(out, catalogue)
    return out.getvalue()


def wanted_files() -> Iterator[tuple[Path, bytes]]:
    """Each file that ought to be there, with what ought to be in it."""
    pot = template()
    yield POT, _text(pot, _HEAD).encode()
    for path in sorted(FOLDER.glob(f"*/{DOMAIN}.po")):
        locale = path.parent.name.replace("-", "_")
        text = _text(_brought_up(read_po(BytesIO(path.read_bytes()), locale=locale, domain=DOMAIN), pot)).encode()
        held = read_po(BytesIO(text), locale=locale, domain=DOMAIN)
        yield path, text
        yield path.with_suffix(".mo"), _compiled(held)
        missing = [each for each in held if each.id and not _is_said(each)]
        print(f"{path.parent.name}: {len(held) - len(missing)} of {len(held)} messages")


def _brought_up(held: Catalog, pot: Catalog) -> Catalog:
    """A translation with the messages of today. Its dates stay those of its translators, so that it changes only with its words."""
    made = held.creation_date
    held.update(pot, no_fuzzy_matching=True, update_header_comment=False)
    held.creation_date = made
    if "do not" in held.header_comment:  # as copied from the template
        held.header_comment = "# The messages of pinseal in another language: docs/adding-a-language.md"
    return held


def _is_said(message: Message) -> bool:
    forms = message.string if isinstance(message.string, tuple | list) else (message.string,)
    return all(forms)


def main() -> int:
    only_check, stale = "--check" in sys.argv[1:], []
    for path, content in wanted_files():
        if not path.exists() or path.read_bytes() != content:
            stale.append(path.relative_to(ROOT).as_posix())
            if not only_check:
                path.write_bytes(content)
    if stale and only_check:
        print(f"stale: {', '.join(stale)}; run: make words", file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
