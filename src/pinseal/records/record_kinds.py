"""The kinds of record: what each is called, what it may say, which dated facts it sets, which duty it answers.

This table is the one place that knows them. `docs/records.md` says how to add one.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import fields

from pinseal import kinds
from pinseal.reasons import Refusal
from pinseal.records.batch_kinds import BATCH_KINDS
from pinseal.records.bottle_kinds import BOTTLE_KINDS
from pinseal.records.fields import Field, checked
from pinseal.records.job_kinds import JOB_KINDS
from pinseal.records.kind import (
    ANY_SUBJECT,
    AT_TEMPERATURE,
    CONTAINER,
    FOUND,
    HELD,
    ID,
    INSTRUMENT,
    LOT,
    MINUTES,
    ON_SHEET,
    PLACE,
    PRESSURE,
    REASON,
    RESULT,
    SERIAL,
    SITE,
    SUBJECTS,
    TAG,
    RecordKind,
    work_kind,
)
from pinseal.records.quote_kinds import QUOTE_KINDS
from pinseal.records.register_kinds import REGISTER_KINDS
from pinseal.records.unit import Nameplate

# Facts that a list gives under their own name; every other fact is given as the last time that it was done.
ORIGINS = ("manufactured", "placed-in-service", "sold-and-tagged")
FIELD_OF_FACT: dict[str, str] = {fact: fact if fact in ORIGINS else f"last-{fact}" for fact in kinds.FACTS}
FACT_OF_FIELD: dict[str, str] = {name: fact for fact, name in FIELD_OF_FACT.items()}
# Facts that belong to the shell: another shell brings its own.
SHELL_FACTS = ("manufactured", "hydrostatic-test", "internal-examination")
CORRECTED_PREFIX = "to-"

_NAMEPLATE_TYPES = {
    "agent": "agent",
    "expelled-by": "expelled-by",
    "shell": "shell",
    "wheeled": "yes-no",
    "rechargeable": "yes-no",
    "size": "quantity",
    "water-capacity": "quantity",
    "hose": "hose",
    "gross-weight": "weight",
    "gross-weight-low": "weight",
    "gross-weight-high": "weight",
    "empty-weight": "weight",
    "test-pressure": "pressure-level",
    "gauge-low": "pressure-level",
    "gauge-high": "pressure-level",
    "charging-gas": "gas",
    "cartridge-weight": "weight",
    "cartridge-weight-low": "weight",
    "expellant-pressure": "pressure-level",
    "regulator-pressure": "pressure-level",
}
NAMEPLATE_FIELDS: tuple[Field, ...] = tuple(
    Field(name=name, type=_NAMEPLATE_TYPES.get(name, "text"), help="as the nameplate says")
    for name in (each.name.replace("_", "-") for each in fields(Nameplate))
)
_DATE_FIELDS = tuple(Field(name=name, type="date", help=kinds.FACTS[fact]) for fact, name in FIELD_OF_FACT.items())

_METHOD = Field(name="method", type="test-method", help="how the pressure test was done")
_TEST_METHOD = Field(name="test-method", type="test-method", help="how the last pressure test was done")

_REGISTERED = RecordKind(
    code="registered",
    label="registered",
    help="the unit as a list or its first sight gives it: numbers, place, nameplate, and the last time each thing was done",
    fields=(
        ID, SERIAL, TAG, SITE, PLACE, *NAMEPLATE_FIELDS, *_DATE_FIELDS, _TEST_METHOD,
        Field(name="recharge-opened", type="yes-no", help="whether the last recharge included the inside work"),
        Field(name="removed", help="why it is out of the fleet, where the list says so"),
        Field(name="placeholder", type="yes-no", help="yes for a unit that is only counted, not yet seen"),
        Field(name="sheet", help="the sheet of the list"),
        Field(name="row", type="number", help="the row of the list"),
    ),
    knowledge=True,
)  # fmt: skip

_CORRECTED = RecordKind(
    code="corrected",
    label="corrected",
    help="an earlier record was wrong: it is void, or to-done and to-FIELD replace what it said (not-said takes a field away)",
    fields=(
        Field(name="corrects", type="uid", required=True, help="the uid of the record that was wrong"),
        Field(name="void", type="yes-no", help="yes: the record does not count at all"),
        Field(name="to-done", type="date", help="the day on which it was really done"),
        REASON,
    ),
    knowledge=True,
    about=ANY_SUBJECT,
)

_ALL = (
    _REGISTERED,
    _CORRECTED,
    RecordKind(
        code="moved", label="moved", help="it belongs somewhere else now", fields=(SITE, PLACE, REASON, *ON_SHEET), one_of=("site", "place")
    ),
    RecordKind(
        code="placed-in-service",
        label="placed in service",
        help="it was put to its place for use",
        fields=(SITE, PLACE, *ON_SHEET),
        sets=("placed-in-service",),
    ),
    RecordKind(
        code="sold-and-tagged", label="sold and tagged", help="it was sold and got its first tag", fields=(TAG,), sets=("sold-and-tagged",)
    ),
    work_kind("inspected", "inspected", "inspection"),
    work_kind("maintained", "maintained", "maintenance", TAG),
    work_kind("opened", "opened and examined inside", "internal-examination"),
    work_kind(
        "tested",
        "pressure tested",
        "hydrostatic-test",
        _METHOD,
        RESULT,
        PRESSURE,
        Field(name="total-expansion", type="volume", help="by how much the shell grew under pressure"),
        Field(name="permanent-expansion", type="volume", help="how much of it stayed"),
        Field(name="percent", type="percent", help="the permanent part, percent of the total"),
        HELD,
        INSTRUMENT,
        Field(name="specification", help="the marking that the limit was taken from"),
        Field(name="symbol", help="the symbol of maker or owner, as marked"),
        Field(name="dimensions", help="the actual dimensions, as measured"),
        Field(name="visual", help="how the shell was found, looked at inside and outside"),
        Field(name="earlier", type="day", help="the day of the test that this one repeats, because the pressure did not hold"),
        REASON,
    ),
    RecordKind(
        code="recharged",
        label="recharged",
        help="it was filled",
        sets=("recharge",),
        work=True,
        fields=(
            Field(name="opened", type="yes-no", help="whether the inside work was done; not said leaves it open"),
            Field(name="agent", type="agent", help="what it was filled with"),
            Field(name="mass", type="mass", help="how much was filled in"),
            Field(name="fill", type="fill", help="whether it is the first fill of the unit"),
            Field(name="pressure", type="pressure", help="the pressure after filling"),
            LOT,
            Field(name="gas", type="gas", help="what it was charged with"),
            Field(name="dew-point", type="temperature", help="the dew point of the gas"),
            Field(name="regulator", type="pressure-level", help="what the regulator was set to"),
            AT_TEMPERATURE,
            Field(name="stopped-at", type="pressure-level", help="where the gas was stopped"),
            CONTAINER,
            REASON,
            FOUND,
            *ON_SHEET,
            MINUTES,
        ),
    ),
    work_kind("hose-tested", "hose tested", "hose-test", RESULT, PRESSURE, HELD, INSTRUMENT),
    work_kind("conductivity-tested", "hose conductivity tested", "conductivity-test", RESULT),
    work_kind(
        "agent-renewed",
        "agent renewed",
        "agent-renewal",
        Field(name="agent", type="agent", help="the new agent"),
        Field(name="mass", type="mass", help="how much"),
    ),
    work_kind("expellant-cylinder-tested", "expellant cylinder tested", "expellant-cylinder-test", RESULT),
    work_kind("regulator-tested", "regulator tested", "regulator-test", RESULT),
    RecordKind(
        code="shell-exchanged",
        label="shell exchanged",
        help="it has another shell, which brings its own dates",
        one_of=("serial", "shell", "manufactured"),
        fields=(
            SERIAL,
            Field(name="shell", type="shell", help="what the new shell is made of"),
            _TEST_METHOD,
            *(Field(name=FIELD_OF_FACT[fact], type="date", help=f"{kinds.FACTS[fact]}, of the new shell") for fact in SHELL_FACTS),
            *ON_SHEET,
        ),
    ),
    RecordKind(
        code="condemned",
        label="condemned",
        help="the shell may never be charged again",
        fields=(
            REASON,
            SERIAL,
            Field(name="proof", help="what shows it: a photo, a test sheet, a witness"),
            Field(name="made-unusable", help="how the shell was made unusable"),
            Field(name="told", help="who was told"),
            Field(name="told-on", type="date", help="when"),
            *ON_SHEET,
        ),
    ),
    RecordKind(
        code="removed",
        label="removed",
        help="it left the fleet: scrapped, sold, stolen, lost",
        fields=(REASON, *ON_SHEET),
        satisfies="retirement",
    ),
    RecordKind(code="returned", label="returned", help="it is back in the fleet", fields=(SITE, PLACE, *ON_SHEET)),
    RecordKind(
        code="recalled",
        label="found on a recall list",
        help="the unit was found on a list of withdrawn units",
        fields=(Field(name="list", required=True, help="the title of the list"), Field(name="action", help="what the list says to do")),
    ),
    RecordKind(
        code="retagged",
        label="tagged anew",
        help="it carries another tag or another number",
        fields=(TAG, ID, *ON_SHEET),
        one_of=("tag", "id"),
    ),
    RecordKind(
        code="matched",
        label="matched to a seen unit",
        help="a unit that was only counted was found to be this one",
        fields=(Field(name="to", type="uid", required=True, help="the uid of the unit that was seen"),),
    ),
    RecordKind(
        code="noted",
        label="noted",
        help="a remark, which sets nothing",
        fields=(Field(name="handed-to", help="the customer to whom the work was handed over; the file is their signature"), *ON_SHEET),
        one_of=("note", "file"),
        about=ANY_SUBJECT,
    ),
    RecordKind(
        code="not-done",
        label="not done",
        help="the work was wanted and could not be done",
        fields=(
            Field(name="reason", required=True, help="why, for example no access"),
            Field(name="duty", type="duty", help="the duty that stays open"),
            Field(name="missing", type="yes-no", help="yes: it was looked for and not found at its place"),
            *ON_SHEET,
        ),
    ),
    *JOB_KINDS,
    *REGISTER_KINDS,
    *BOTTLE_KINDS,
    *BATCH_KINDS,
    *QUOTE_KINDS,
)

KINDS: dict[str, RecordKind] = {kind.code: kind for kind in _ALL}
# The code of a duty, and a few words of the trade, stand for the kind that answers it.
ALIASES: dict[str, str] = {
    **{kind.satisfies: kind.code for kind in _ALL if kind.satisfies},
    "recharge": "recharged",
    "pressure-test": "tested",
    "note": "noted",
}
_FIELD_ALIASES = {
    ("tested", "test-method"): "method",
    ("recharged", "recharge-opened"): "opened",
    ("agent-taken-out", "to"): "went-to",
    ("taken-away", "to"): "taken-to",
    ("instrument-checked", "result"): "check",
}
NOT_SAID = "not-said"  # in a correction: the field was not to be said


def kind_of(code: str) -> RecordKind:
    """The kind of that code, or the kind that answers the duty of that code. Raises `Refusal`.

    >>> kind_of("hydrostatic-test").code, kind_of("inspected").code
    ('tested', 'inspected')
    """
    asked = code.strip().lower().replace("_", "-")
    found = KINDS.get(ALIASES.get(asked, asked))
    if found:
        return found
    known = f"a kind of record is one of {', '.join(KINDS)}, or a duty: {', '.join(kinds.DUTIES)}"
    raise Refusal(what="there is no such kind of record", rule=known, got=code, do="use one of the listed kinds")


def subject_of(codes: Iterable[str]) -> str:
    """What records of these kinds are about: a key of `SUBJECTS`.

    One record about an extinguisher makes it one, whatever else came in under its uid, so that no unit drops out of the lists.

    >>> subject_of(["instrument-checked", "noted"]), subject_of(["noted"]), subject_of(["instrument-checked", "tested"])
    ('instrument', 'unit', 'unit')
    """
    found = {KINDS[code].about for code in codes if code in KINDS}
    return "unit" if "unit" in found else next((about for about in SUBJECTS if about in found), "unit")


def check_record(kind: str, fields: Mapping[str, str]) -> dict[str, str]:
    """The fields to keep, in their one spelling, in the order given. Raises `Refusal`.

    Refused: an unknown kind, an unknown field, a value that cannot be read, a field that is missing.

    >>> check_record("hydrostatic-test", {"method": "water-jacket", "pressure": "585 psi"})
    {'method': 'water-jacket', 'pressure': '585 psi'}
    """
    found = kind_of(kind)
    kept: dict[str, str] = {}
    for given, value in fields.items():
        name = _FIELD_ALIASES.get((found.code, _hyphens(given)), _hyphens(given))
        field = _field(found, name, given)
        kept[name] = NOT_SAID if _takes_away(found, name, value) else checked(field, value, kind=found.code)
    _check_complete(found, kept)
    return kept


def _hyphens(name: str) -> str:
    return name.strip().lower().replace("_", "-").replace(" ", "-")


def _takes_away(kind: RecordKind, name: str, value: str) -> bool:
    return kind.code == "corrected" and name.startswith(CORRECTED_PREFIX) and name != "to-done" and value == NOT_SAID


def _field(kind: RecordKind, name: str, given: str) -> Field:
    found = kind.field(name)
    if found is None and kind.code == "corrected" and name.startswith(CORRECTED_PREFIX):
        found = next(
            (field for other in _ALL if other.code != kind.code and (field := other.field(name.removeprefix(CORRECTED_PREFIX)))), None
        )
    if found:
        return found
    known = ", ".join(field.name for field in kind.all_fields)
    more = " and to-FIELD for each field of the corrected record" if kind.code == "corrected" else ""
    raise Refusal(
        what=f"a record {kind.code} has no such field", rule=f"its fields are {known}{more}", got=given, do="check the name of the field"
    )


def _check_complete(kind: RecordKind, kept: Mapping[str, str]) -> None:
    for field in kind.fields:
        if field.required and field.name not in kept:
            raise _missing(kind, f"{field.name} must be given", f"add {field.name}: {field.help}")
    if kind.one_of and not any(name in kept for name in kind.one_of):
        raise _missing(kind, f"one of {', '.join(kind.one_of)} must be given", f"add {' or '.join(kind.one_of)}")
    if kind.code == "corrected" and kept.get("void") != "yes" and not any(name.startswith(CORRECTED_PREFIX) for name in kept):
        raise _missing(kind, "a correction says what is right", "add void=yes, to-done, or to-FIELD")
    if kind.code == "corrected" and kept.get("void") == "yes" and any(name.startswith(CORRECTED_PREFIX) for name in kept):
        raise Refusal(
            what="a correction voids a record or mends it, not both",
            rule="void=yes stands alone",
            got=", ".join(kept),
            do="leave void out to mend the record",
        )


def _missing(kind: RecordKind, rule: str, do: str) -> Refusal:
    return Refusal(what=f"a record {kind.code} is not complete", rule=rule, got="", do=do)
