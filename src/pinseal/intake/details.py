"""What drives a unit, what its shell is made of, whether it has wheels: words in five languages (`common practice, no source`)."""

from __future__ import annotations

import re

from pinseal.intake.words import word_set

_EXPELLED: tuple[tuple[str, str], ...] = (
    (r"self[- ]?expel\w*|own (?:gas )?pressure|eigendruck\w*|autopropuls\w*", "self-expelling"),
    (r"(?:hand )?\bpump(?:ed)?\b|\bbomba\b|\bpompa\b|kubelspritze", "pump"),
    (r"(?:gas|n2|nitrogen|external|separate|side|expellant) (?:cylinder|bottle)|cylinder[- ]?operated|botella (?:exterior|externa|auxiliar)"
     r"|treibgasflasche|bombola (?:esterna|ausiliaria)|bouteille (?:auxiliaire|externe)", "cylinder"),
    (r"(?:(?:co2|n2|nitrogen|gas)[ -]?)?cartridge\w*|(?:co2-?)?(?:treib)?(?:gas)?patrone\w*|auflade?\w*|botellin\w*|cartouche\w*|cartuccia"
     r"|bombolina|pression auxiliaire", "cartridge"),
    (r"stored[- ]?press\w*|presion (?:incorporada|permanente)|dauerdruck\w*|pression permanente|pressione permanente|permanentemente "
     r"presuri\w*"
     r"|\bpermanente?\b", "stored-pressure"),
)  # fmt: skip
_SHORT_EXPELLED = {
    "sp": "stored-pressure", "s p": "stored-pressure", "stored": "stored-pressure", "stp": "stored-pressure", "st p": "stored-pressure",
    "stored press": "stored-pressure", "pi": "stored-pressure", "cart": "cartridge", "crt": "cartridge", "ctg": "cartridge",
    "cartr": "cartridge",
    "co": "cartridge", "cyl": "cylinder", "cylinder": "cylinder", "self": "self-expelling", "incorporada": "stored-pressure",
}  # fmt: skip
_SHELLS: tuple[tuple[str, str], ...] = (
    (r"stainless(?: steel)?|\bs\.?s\.?\b|\binox\w*|edelstahl\w*|acciaio inox\w*|acero inox\w*|acier inox\w*|\bv2a\b|\bniro\b",
    "stainless-steel"),
    (r"brazed(?: brass)?|hartgelotet\w*", "brazed-brass"),
    (r"soldered(?: brass)?|\bsoldadura\b|weichgelotet\w*", "soldered-brass"),
    (r"\bbrass\b|\blaton\b|messing\w*|\bottone\b|\blaiton\b", "brass"),
    (r"alumin\w*|\balum?\b|\balu\b|\bal\b", "aluminium"),
    (r"glass[- ]?fib\w*|fib(?:re|er)[- ]?glass|fibra(?: de vidrio)?|\bgrp\b|\bgfk\b|fibre de verre|vetroresina", "glass-fibre"),
    (r"(?:mild|carbon|plain|painted)? ?\bsteel\b|\bm\.?s\.?\b|\bacero\b(?: al carbono)?|stahl\w*|\bacciaio\b|\bacier\b", "mild-steel"),
)  # fmt: skip
_WHEELED = re.compile(
    r"\bwheel(?:ed|s)?\b(?: unit)?|on wheels|fahrbar\w*|carrellat\w*|sobre ruedas|con ruedas|\bruedas\b|sur roues|\btrolley\b"
    r"|\bcarro\b|\brodante\b|su ruote"
)
_CART = re.compile(r"\bcart\b\.?")
_YES = word_set(
    "y yes si ja j oui o x xx true 1 w wh wheeled wheel wheels cart trolley carro fahrbar carrellato ruedas ok v vero wahr vrai mobile s"
)
_NO = word_set("n no nein non false 0 hand portable p h hand-held handheld portatil portatile tragbar portatif falso falsch faux")

_EXPELLED_WORDS = tuple((re.compile(pattern), code) for pattern, code in _EXPELLED)
_SHELL_WORDS = tuple((re.compile(pattern), code) for pattern, code in _SHELLS)


def cut_expelled(text: str) -> tuple[str | None, str]:
    """What drives the unit, where plain lower-case text says so in full words, and the text without it.

    >>> cut_expelled("co2 cartridge water"), cut_expelled("co2")
    (('cartridge', '  water'), (None, 'co2'))
    """
    for pattern, code in _EXPELLED_WORDS:
        if pattern.search(text):
            return code, pattern.sub(" ", text, count=1)
    return None, text


def expelled_code(text: str) -> str | None:
    """A cell of a column that says what drives the unit: words or the usual short forms."""
    found, _ = cut_expelled(text)
    return found or _SHORT_EXPELLED.get(re.sub(r"[^a-z0-9]+", " ", text).strip())


def cut_shell(text: str) -> tuple[str | None, str]:
    """The shell's material, where the text says it in full words of more than two letters."""
    for pattern, code in _SHELL_WORDS:
        match = pattern.search(text)
        if match and len(match[0].strip()) > 3:
            return code, text[: match.start()] + " " + text[match.end() :]
    return None, text


def shell_code(text: str) -> str | None:
    """A cell of a shell column: words or the usual short forms.

    >>> shell_code("ss"), shell_code("alum."), shell_code("steel")
    ('stainless-steel', 'aluminium', 'mild-steel')
    """
    return next((code for pattern, code in _SHELL_WORDS if pattern.search(text)), None)


def cut_wheeled(text: str) -> tuple[bool | None, str]:
    """True where the text says that the unit has wheels."""
    if _WHEELED.search(text):
        return True, _WHEELED.sub(" ", text)
    return None, text


def has_cart(text: str) -> bool:
    """Whether the text has the short word "cart", which may be a cartridge or a cart."""
    return bool(_CART.search(text))


def yes_or_no(text: str) -> bool | None:
    """A tick, yes or no of a column; None where it is neither.

    >>> yes_or_no("Y"), yes_or_no("nein"), yes_or_no("maybe")
    (True, False, None)
    """
    folded = text.casefold().strip().strip(".()")
    if folded in _YES or folded in ("✓", "✔", "☑", "√", "sí", "×"):
        return True
    return False if folded in _NO else None
