"""The page that proves a paper: one HTML file with the records that it rests on, which works the hash out again without a network."""

from __future__ import annotations

import base64
import hashlib
import html
import json
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from importlib.resources import files

_ROOM = files("pinseal.documents") / "proof"


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofLine:
    """One record: its uid, its digest, and the text that the digest was made of; None where the text is held back."""

    uid: str
    digest: str
    text: str | None


def proof_page(*, title: str, shop: str, about: str, hash: str, rule: str, lines: Iterable[ProofLine]) -> str:  # noqa: A002
    """The page. `about` is the first line of what was hashed, `rule` says how, `lines` stand in the order of the hash.

    Its script and style are allowed by their own hashes and nothing else is, so a browser fetches nothing for it.
    """
    parts = {name: (_ROOM / name).read_text(encoding="utf-8") for name in ("page.html", "style.css", "sha256.js", "proof.js")}
    held = {"about": about, "hash": hash, "records": [asdict(line) for line in lines]}
    filled = {
        "title": html.escape(title),
        "shop": html.escape(shop),
        "rule": html.escape(rule),
        "style": parts["style.css"],
        "style_hash": _allowed(parts["style.css"]),
        "script_hashes": f"{_allowed(parts['sha256.js'])} {_allowed(parts['proof.js'])}",
        "sha256": parts["sha256.js"],
        "proof": parts["proof.js"],
        # A record may say "</script>": no angle bracket of the data is left as it is.
        "held": json.dumps(held, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c").replace("\u2028", "\\u2028"),
    }
    made = parts["page.html"]
    before, *rest = made.split("{")
    return before + "".join(filled[name] + after for name, _, after in (each.partition("}") for each in rest))


def _allowed(content: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(content.encode()).digest()).decode()}'"
