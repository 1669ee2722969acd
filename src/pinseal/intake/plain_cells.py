"""Cells with a small vocabulary: ids, yes and no, shells, what drives a unit, hoses, test methods."""

from __future__ import annotations

import re

from pinseal.intake.details import expelled_code, shell_code, yes_or_no
from pinseal.intake.findings import ABSENT, Ask, Flaw, Read, is_absent
from pinseal.intake.heading_words import WEIGHT_FIELDS
from pinseal.intake.kind_cells import Custom
from pinseal.intake.sizes import cut_size, quantity
from pinseal.intake.words import plain
from pinseal.kinds import AGENTS, EXPELLED_BY, GASES, HOSES, SHELLS, TEST_METHODS
from pinseal.measures import parse_measure, parse_pressure
from pinseal.reasons import Refusal
from pinseal.units import Quantity

_FIGURE = re.compile(r"\d")
_NO_ID = ABSENT - {"new", "neu", "nuevo", "nuovo", "neuf"} | {"none yet", "no tag", "no id", "ohne", "sin", "senza", "?"}
_DOUBT = re.compile(
    r"^[?_. ]+$|illegib|unread|not read|can'?t read|see (?:tag|label|bottle|plate)|worn|painted|ilegible|no se lee|unleserlich|nicht lesbar"
    r"|illeggibile|illisible|torn off|scratched|gone$|missing$"
)


def read_identity(text: str) -> Read[str]:
    """An id or serial, exactly as seen; None where the cell says there is none.

    >>> read_identity(" 0102 ").value, read_identity("n/a").value, read_identity("?").flaw.kind
    ('0102', None, 'unreadable')
    """
    shown = text.replace("\u00a0", " ").strip()
    low = shown.casefold()
    if not _FIGURE.search(shown):
        if _DOUBT.search(plain(shown)):
            return Read(None, Flaw("unreadable", "no number could be read"))
        if low in _NO_ID or is_absent(low):
            return Read()
    return Read(shown or None)


def read_text_cell(text: str) -> str | None:
    """A text as seen, or None for a blank or a dash."""
    shown = " ".join(text.replace("\u00a0", " ").split())
    return shown if shown.strip("-–—. ") else None


def read_agent_code(text: str) -> str | None:
    """An agent given by its code, as this program writes it."""
    low = text.strip().casefold()
    return low if low in AGENTS else None


def read_expelled(text: str, custom: Custom) -> Read[str]:
    """What drives a unit: a code, the list's own shorthand, or words."""
    return _vocabulary(text, "expelled_by", tuple(EXPELLED_BY), custom.expelled.get(_key(text)) or expelled_code(plain(text)))


def read_shell(text: str, custom: Custom) -> Read[str]:
    """A shell's material: a code, the list's own shorthand, or words."""
    return _vocabulary(text, "shell", tuple(SHELLS), custom.shells.get(_key(text)) or shell_code(plain(text)))


def read_hose(text: str) -> Read[str]:
    low = plain(text)
    found = "none" if low in ("none", "no", "n", "without", "ohne", "sin", "-") else None
    return Read("none") if found else _vocabulary(text, "hose", tuple(HOSES), None)


def read_test_method(text: str) -> Read[str]:
    low = plain(text)
    found = "water-jacket" if re.search(r"jacket|volumetr", low) else "proof-pressure" if re.search(r"proof", low) else None
    return _vocabulary(text, "test_method", tuple(TEST_METHODS), found)


def _key(text: str) -> str:
    return plain(text).strip(" .\"'()*")


def _vocabulary(text: str, field: str, codes: tuple[str, ...], found: str | None) -> Read[str]:
    low = plain(text)
    if low.replace(" ", "-") in codes:
        return Read(low.replace(" ", "-"))
    if found is not None:
        return Read(found)
    if is_absent(low):
        return Read()
    if not low.strip("?_ "):
        return Read(None, Flaw("unreadable", "the list gives nothing here"))
    return Read(None, None, Ask(field, f"{field} {low}", codes, f"What does {text.strip()} mean in this column?"))


def read_yes_no(text: str, field: str, custom: Custom) -> Read[bool]:
    """A tick, a yes or a no; for wheels also the list's own shorthand."""
    low = plain(text)
    if field == "wheeled" and _key(text) in custom.wheels:
        return Read(custom.wheels[_key(text)])
    said = yes_or_no(text)
    if said is None and field == "wheeled":
        said = True if re.search(r"wheel|\bcart\b|fahrbar|ruedas|carrell|roues|trolley", low) else None
    if said is not None:
        return Read(said)
    if is_absent(low):
        return Read()
    return Read(None, None, Ask(field, f"{field} {low}", ("yes", "no"), f"Does {text.strip()} mean yes or no in this column?"))


def read_bench_cell(text: str, field: str) -> Read[str]:
    """A mass, a pressure or a gas of the nameplate, as typed; a flaw where it cannot be read."""
    shown = read_text_cell(text)
    if shown is None or is_absent(plain(text)):
        return Read()
    if field == "charging_gas":
        return Read(plain(shown)) if plain(shown) in GASES else Read(None, Flaw("unreadable", f"a gas is one of {', '.join(GASES)}"))
    try:
        parse_measure("mass", shown) if field in WEIGHT_FIELDS else parse_pressure(shown)
    except Refusal as refused:
        return Read(None, Flaw("unreadable", refused.rule))
    return Read(shown)


def read_volume(text: str) -> Read[Quantity]:
    """A water capacity: a number with its unit."""
    amount, _ = cut_size(plain(text))
    if amount is None or amount.unit == "g?":
        return Read() if is_absent(plain(text)) else Read(None, Flaw("unreadable", "no number with a unit could be read"))
    return Read(quantity(amount, amount.unit))
