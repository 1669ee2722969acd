"""The sentences of the field page in the language of the shop, as a module that its `say` reads: the page is offline, so they go along.

`words.js` holds the English sentences and stays their one source. What is served beside it as `spoken.js` holds, for each of
them, its forms in the other language, and the rule that tells which form goes with a count.
"""

from __future__ import annotations

import json
import re
from functools import cache
from importlib.resources import files

from pinseal.catalogue import SOURCE, form_rule, forms_of, language

SPOKEN = "spoken.js"
_SENTENCE = re.compile(r'[,{\s]"?([\w-]+)"?: (\[?"(?:[^"\\]|\\.)*"(?:, "(?:[^"\\]|\\.)*"\])?)')


@cache
def field_messages() -> dict[str, tuple[str, str]]:
    """The sentences by their keys: the form for one and the form for many. A sentence without a count has the same twice."""
    text = (files("pinseal.web") / "static" / "field" / "words.js").read_text(encoding="utf-8")
    found = {}
    for key, said in _SENTENCE.findall(text.split("\n};")[0]):
        forms = json.loads(said)
        found[key] = (forms, forms) if isinstance(forms, str) else (forms[0], forms[1])
    return found


def counts(message: tuple[str, str]) -> bool:
    """Whether a sentence says a count, so that languages may need several forms of it."""
    return "{n}" in message[1]


def spoken_js() -> str:
    """The module for the language of now; English needs nothing."""
    if language() == SOURCE:
        return (files("pinseal.web") / "static" / "field" / SPOKEN).read_text(encoding="utf-8")
    said = {message[0]: forms_of(*message) if counts(message) else forms_of(message[0]) for message in field_messages().values()}
    table = json.dumps(said, ensure_ascii=False, sort_keys=True, indent=0)
    return f"export const SPOKEN = {table};\nexport const form = (n) => Number({form_rule()});\n"
