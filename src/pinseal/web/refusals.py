"""Refusals in the language of the shop: each part is looked up where it is shown.

A part that was put together below with a value in it (`f"..."`) is not in the catalogue and is shown in English.
"""

from __future__ import annotations

from pinseal.catalogue import gettext as _
from pinseal.reasons import Refusal

_TYPED_SHOWN_MAX = 60


def capital(text: str) -> str:
    """A text with a capital letter at its start.

    >>> capital("no such pack"), capital("")
    ('No such pack', '')
    """
    return f"{text[:1].upper()}{text[1:]}"


def sentence(text: str) -> str:
    """A part of a refusal as a sentence of its own.

    >>> sentence("check the name"), sentence("")
    ('Check the name.', '')
    """
    return capital(_(text)).rstrip(".") + "." if text else ""


def unreadable(what: str, refused: Refusal) -> str:
    """That a field of a form cannot be read, and how it is written. What was typed is cut at a length that is still seen at once."""
    return _(
        "%(what)s “%(got)s” cannot be read: %(rule)s; %(do)s",
        what=what,
        got=refused.got[:_TYPED_SHOWN_MAX],
        rule=_(refused.rule),
        do=_(refused.do),
    )


def in_sentences(refused: Refusal) -> str:
    """What is wrong, which rule, what to do: a sentence each. A damaged shop is no trouble of a form: its page tells it."""
    if refused.exit_code != 2:
        raise refused
    return " ".join(sentence(part) for part in (refused.what, refused.rule, refused.do) if part)


def in_one_line(refused: Refusal) -> str:
    """All four parts on one line. A damaged shop is no trouble of a form: its page tells it."""
    if refused.exit_code != 2:
        raise refused
    what, rule, do = capital(_(refused.what)), _(refused.rule), _(refused.do).rstrip(".")
    if refused.got:
        return _("%(what)s (got %(got)s); %(rule)s; %(do)s.", what=what, got=refused.got, rule=rule, do=do)
    return _("%(what)s; %(rule)s; %(do)s.", what=what, rule=rule, do=do)
