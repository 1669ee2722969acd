"""Which agent a cell names, in trade shorthand and five languages (`common practice, no source`)."""

from __future__ import annotations

import re

from pinseal.intake.findings import Ask
from pinseal.intake.words import word_set

FOAMS = ("afff", "fffp", "fluorine-free-foam")
HALONS = ("halon-1211", "halon-1301")
BC_POWDERS = ("sodium-bicarbonate", "potassium-bicarbonate", "urea-potassium-bicarbonate", "potassium-chloride")
LIQUIDS = word_set(
    "water antifreeze loaded-stream wetting-agent afff fffp fluorine-free-foam wet-chemical water-mist soda-acid "
    "chemical-foam vaporising-liquid"
)

# Read in this order on plain lower-case text; each hit is cut out, so that "potassium chloride" is not also "potassium".
_AGENTS: tuple[tuple[str, str], ...] = (
    (r"fluorine[- ]?free(?: foam)?|fluorfrei\w*(?: schaum\w*)?|\bf3\b|\bsfff\b|sin fluor|senza fluoro|sans fluor", "fluorine-free-foam"),
    (r"\bafff\b(?: foam)?", "afff"),
    (r"\bfffp\b(?: foam)?", "fffp"),
    (r"chemical foam|espuma quimica|schiuma chimica", "chemical-foam"),
    (r"soda[- ]?acid", "soda-acid"),
    (r"carbon tet\w*|\bctc\b|vapori[sz]ing liquid", "vaporising-liquid"),
    (r"wet ?chem\w*|\b(?:class|clase|classe|klasse|agente|type) ?[kf]\b|\b[kf][ -]class\b|fettbrand\w*|potassium acetate|acetato \w+",
    "wet-chemical"),
    (r"\b(?:water|h2o) ?mist\b|\bmist\b|agua nebuli\w*|nebuliz\w*|wassernebel\w*|acqua nebuli\w*|brouillard(?: d'eau)?|eau pulveri\w*",
    "water-mist"),
    (r"(?:water|h2o)?[ +/]*anti-?freeze|anticongelante|frostschutz\w*|antigelo|antigel", "antifreeze"),
    (r"loaded stream|\bls\b", "loaded-stream"),
    (r"wetting(?: agent)?|netzmittel\w*|humectante|\bbagnante\b|agent mouillant", "wetting-agent"),
    (r"\bhfc[- ]?227\w*|\b227ea\b", "halocarbon-hfc-227ea"),
    (r"\bhfc[- ]?236\w*|\b236fa\b", "halocarbon-hfc-236fa"),
    (r"\bfk[- ]?5[- ]?1[- ]?12\b", "halocarbon-fk-5-1-12"),
    (r"\bhcfc\b[- ]?\w*(?: ?blend ?b)?", "halocarbon-hcfc"),
    (r"(?:\bhalon ?|\bh[- ]?)?\b1211\b|\bbcf\b", "halon-1211"),
    (r"(?:\bhalon ?|\bh[- ]?)?\b1301\b|\bbtm\b", "halon-1301"),
    (r"clean agent\W*(?:halocarbon)?|halocarbon\w*|clean gas|agente limpio|gas limpio|halogenad\w*|agent propre|gas inerte limpio",
    "halocarbon"),
    (r"co2(?![a-z0-9])|\bc[o0] ?2\b|\bc02|carbon dioxide|anhidrido carbonico|nieve carbonica|dioxido de carbono|\bco ?₂"
     r"|kohlendioxid\w*|kohlensaure\w*|anidride carbonica|dioxyde de carbone|neige carbonique|\bcarbonico?\b", "co2"),
    (r"urea[- ]?potassium\w*(?: bicarb\w*)?|potassium urea\w*|\burea\b\w*|carbamid\w*", "urea-potassium-bicarbonate"),
    (r"potassium chlor\w*|\bkcl\b|\bsuper ?k\b|kaliumchlorid\w*|cloruro pot\w*", "potassium-chloride"),
    (r"purple[- ]?k\b|potassium(?: bicarb\w*)?(?: powder)?|\bpkp?\b|\bkhco3\b|kaliumbicarb\w*|kaliumhydrogen\w*|bicarbonato (?:de "
     r")?pota\w*|bicarbonate de pota\w*",
     "potassium-bicarbonate"),
)  # fmt: skip
_METAL = re.compile(
    r"\b(?:class|clase|classe|klasse|polvo|pulver|poudre|polvere|type) ?d\b(?:[ -]?powder)?|\bd[- ]?(?:powder|pulver)\b|metallbrand\w*"
    r"|metal (?:fire|powder)\w*|metall?pulver\w*"
)
_METAL_KINDS = (
    (re.compile(r"copper|kupfer\w*|cobre|rame\b|cuivre"), "class-d-copper"),
    (re.compile(r"graphit\w*|grafit\w*"), "class-d-graphite"),
    (re.compile(r"sodium chloride|\bnacl\b|\bsalt\b|kochsalz|cloruro (?:de )?sod\w*|chlorure de sod\w*"), "class-d-sodium-chloride"),
)
_POWDERS: tuple[tuple[str, str], ...] = (
    (r"sodium bicarb\w*|bicarbonato (?:de |di )?sod\w*|bicarbonate de sod\w*|\bnahco3\b|(?:plain )?sodium(?: powder)?|natriumbicarb\w*"
     r"|natriumhydrogen\w*|regular dry ?(?:chem\w*)?|ordinary dry ?(?:chem\w*)?|(?:baking )?\bsoda\b(?! acid)|\bbicarb\w*",
     "sodium-bicarbonate"),
    (r"abc(?:d?)(?![a-z])[- ]?(?:dry ?chem\w*|powder|pulver\w*|poudre)?|\ba[:/.,-]? ?b[:/.,-]? ?c\b|tri-?class|multi-?purpose(?: dry "
     r"?chem\w*)?|mono-?ammonium\w*"
     r"|ammonium phos\w*|\bmap\b|poli?[vy]alente?|polyvalente?|glutbrand\w*|(?:polvo|pqs|pulver|poudre|polvere) (?:seco )?abc"
     r"|abc-?pulver\w*", "abc"),
)  # fmt: skip
_WATER = re.compile(r"\bh2[o0]\b|\bwater\b|\bagua\b|\bacqua\b|\bwasser(?:loscher)?\b|\beau\b|\bapw\b|pressuri[sz]ed water")
_WATER_PLUS = re.compile(r"(?:agua|acqua|wasser|eau|water)\W*(?:con|mit|avec|with|\+|y|und|et|e)\W*(?:additi\w*|zusatz\w*|aditiv\w*)")
_FOAM = re.compile(r"\bfoam\b|\bespuma\w*|schaum\w*|\bschiuma\b|\bmousse\b")
_HALON = re.compile(r"\bhalone?s?\b")
_BC = re.compile(r"(?<![a-z])b[:/.-]?c(?![a-z])[- ]?(?:dry ?chem\w*|powder|pulver\w*)?")
_DRY = re.compile(
    r"\bpqs\b|\bpolvo\b(?: quimico)?(?: seco)?|pulver\w*|\bpoudre\b|\bpolvere\b|\bpowder\b|\bdry ?chem\w*|\bdry powder\b|\bdcp\b"
    r"|\bd\.?c\.?\b|\bquimico seco\b"
)
_LONE_K = re.compile(r"\bk\b")
_COMPILED = tuple((re.compile(pattern), code) for pattern, code in _AGENTS)
_POWDER_KINDS = tuple((re.compile(pattern), code) for pattern, code in _POWDERS)

Found = tuple[str | None, tuple[str, ...], str]


def find_agent(text: str) -> Found:
    """The agent in plain lower-case text: its code (or None), its readings where unsure, and the text left over.

    >>> find_agent("abc dry chemical")[:2], find_agent("halon")[:2], find_agent("hall")[:2]
    (('abc', ()), (None, ('halon-1211', 'halon-1301')), (None, ()))
    """
    metal = _METAL.search(text)
    if metal:
        for pattern, code in _METAL_KINDS:
            if pattern.search(text):
                return code, (), _METAL.sub(" ", pattern.sub(" ", text))
        return "class-d", (), _METAL.sub(" ", text)
    for pattern, code in _COMPILED:
        if pattern.search(text):
            return code, (), _rest(pattern.sub(" ", text, count=1))
    return _unsure_or_powder(text)


def _unsure_or_powder(text: str) -> Found:
    if _FOAM.search(text):
        return None, FOAMS, _FOAM.sub(" ", text)
    if _HALON.search(text):
        return None, HALONS, _HALON.sub(" ", text)
    if _WATER_PLUS.search(text):
        return None, ("water", "wetting-agent", *FOAMS), _WATER_PLUS.sub(" ", text)
    if _WATER.search(text):
        return "water", (), _WATER.sub(" ", text)
    for pattern, code in _POWDER_KINDS:
        if pattern.search(text):
            return code, (), _rest(pattern.sub(" ", text, count=1))
    if _BC.search(text):
        return "dry-chemical", BC_POWDERS, _rest(_BC.sub(" ", text, count=1))
    if _DRY.search(text):
        return "dry-chemical", (), _rest(text)
    if text.strip(" .") == "d":
        return "class-d", (), " "
    if _LONE_K.search(text):
        return "wet-chemical", (), _LONE_K.sub(" ", text, count=1)
    return None, (), text


def _rest(text: str) -> str:
    return _DRY.sub(" ", text)


def agent_question(readings: tuple[str, ...], raw: str) -> Ask:
    """The question that a shorthand with several readings raises; one answer settles all cells with that word."""
    if set(readings) == set(FOAMS):
        return Ask("agent", "foam", readings, f"Which foam is meant by {raw}?")
    if set(readings) == set(HALONS):
        return Ask("agent", "halon", readings, f"Which halon is meant by {raw}?")
    if set(readings) == set(BC_POWDERS):
        return Ask("agent", "bc", readings, f"Which powder is meant by {raw}? BC does not say its base.")
    return Ask("agent", f"agent {raw}", readings, f"Which agent is meant by {raw}?")
