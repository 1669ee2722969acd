"""The rules of marks, read strictly: what each form asks of a tag, collar or label, with the source of each rule.

A form is the set of rules of one jurisdiction (`mark_forms/*.toml`). What it does not rule is taken from the form that it
is based on. Nothing here decides; `rules.marks` does.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from importlib.resources import files
from typing import Any

from pinseal.kinds import MARKS
from pinseal.reasons import Refusal
from pinseal.standards.pressure_tests import Source
from pinseal.standards.sourced import SOURCE_KEYS, source_of
from pinseal.standards.strict import Place, read_toml

# What can be printed: the marks of the trade, and two labels that say who a unit is and where it belongs.
PRINTED: dict[str, str] = {
    **MARKS,
    "red-tag": "red tag",
    "collar": "verification-of-service collar",
    "test-label": "pressure-test label",
    "hose-label": "hose label",
    "recharge-tag": "recharge tag",
    "code-label": "unit code label",
    "place-label": "place label",
}
# Marks that state that work was done, or that a unit is out of order: a finished sheet and a signer stand behind each.
STATEMENTS = tuple(mark for mark in PRINTED if mark not in ("code-label", "place-label"))
FIELDS: dict[str, str] = {
    "firm-name": "name of the firm",
    "firm-address": "address of the firm",
    "firm-phone": "telephone number of the firm",
    "firm-registration": "registration or licence number of the firm",
    "firm-class": "class of the firm's registration",
    "person-name": "full name of the person",
    "person-licence": "licence or certificate number of the person",
    "licence-class": "class of the person's licence",
    "signature": "signature by hand",
    "month-year": "month and year of the work",
    "day": "day of the work",
    "work": "type of work",
    "work-done": "work that was done, in words",
    "owner": "owner and address",
    "unit-id": "number of the unit",
    "unit-type": "type of the unit",
    "unit-size": "size of the unit",
    "unit-place": "place of the unit",
    "serial": "serial number of the unit",
    "test-pressure": "test pressure",
    "test-year": "year of the last pressure test",
    "level": "level of the service",
    "impairments": "what is wrong",
    "next-due": "when it is next due",
    "seal": "seal of the authority",
}
COLOURS = ("red", "yellow", "blue", "green", "white", "orange", "buff")
MADE_BY = {
    "shop": "the shop prints it",
    "printer": "a printing company prints it",
    "authority": "the authority issues it",
    "unread": "its rules were not read, so it is not printed here",
}
GRIDS = {"month-and-year": "a row of months and a row of years", "month-by-year": "a cell for each month of each year"}
_MM_IN = Fraction("25.4")
_MARK_KEYS = {
    "mark", "source", "clause", "width_in", "height_in", "width_mm", "height_mm", "not_colours", "years", "grid", "punched", "fields",
    "texts", "made_by", "material", "not_seen", "note",
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Ruled:
    """One thing that a form asks for: a field (a key of `FIELDS`) or prescribed words, with its clause and source."""

    what: str
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkRule:
    """What a form asks of one mark.

    `width_mm` and `height_mm` are the least and the largest size, None where it is free; of a size without an upper end the
    second number is None. `years` is for how many years one may be made out. `punched` are the fields that a hole shows: they
    are drawn as cells, never as a printed date. `made_by` is a key of `MADE_BY`. `not_seen` says what of the rule was not read.
    """

    form: str
    mark: str
    source: Source
    fields: tuple[Ruled, ...]
    texts: tuple[Ruled, ...] = ()
    width_mm: tuple[Fraction, Fraction | None] | None = None
    height_mm: tuple[Fraction, Fraction | None] | None = None
    not_colours: tuple[str, ...] = ()
    years: tuple[int, int] | None = None
    grid: str = "month-and-year"
    punched: tuple[str, ...] = ()
    made_by: str = "shop"
    material: str = ""
    not_seen: str = ""
    note: str = ""

    def asks(self, field: str) -> Source | None:
        """The source that asks for a field; None where none does."""
        return next((each.source for each in self.fields if each.what == field), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Signer:
    """Who may sign a mark: the kinds of paper, and where they must count; no places means that any place will do."""

    papers: tuple[str, ...]
    places: tuple[str, ...]
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkForm:
    """The rules of marks of one jurisdiction."""

    id: str
    title: str
    marks: Mapping[str, MarkRule]
    signer: Signer
    based_on: str = ""
    note: str = ""


def parse_mark_form(tables: Mapping[str, Any], *, file: str) -> MarkForm:
    """One form as its file says it, without what it is based on. Raises `Refusal` for anything that is not as declared."""
    place = Place(file)
    place.keys(tables, {"id", "title", "based_on", "note", "source", "mark", "signer"})
    form = place.text(tables, "id")
    sources = _sources(place, tables)
    signer = tables.get("signer")
    if not isinstance(signer, dict):
        raise place.refuse(
            "signer is missing", rule="every form says who may sign", got=signer, do="add [signer] with papers, places and source"
        )
    marks = [_mark(Place(file, str(table.get("mark")), kind="mark"), table, form, sources) for table in place.tables(tables, "mark")]
    twice = {rule.mark for rule in marks if [each.mark for each in marks].count(rule.mark) > 1}
    if twice:
        raise place.refuse("a mark stands twice", rule="a form rules each mark once", got=", ".join(sorted(twice)), do="make one of them")
    return MarkForm(
        id=form,
        title=place.text(tables, "title"),
        based_on=place.text(tables, "based_on", ""),
        note=place.text(tables, "note", ""),
        marks={rule.mark: rule for rule in marks},
        signer=_signer(Place(file, "signer", kind="table"), signer, sources),
    )


def _sources(place: Place, tables: Mapping[str, Any]) -> dict[str, Source]:
    found: dict[str, Source] = {}
    for table in place.tables(tables, "source"):
        at = Place(place.file, str(table.get("id")), kind="source")
        at.keys(table, SOURCE_KEYS | {"id"})
        found[at.text(table, "id")] = source_of(at, table)
    return found


def _signer(place: Place, table: Mapping[str, Any], sources: Mapping[str, Source]) -> Signer:
    place.keys(table, {"papers", "places", "source", "clause"})
    papers = place.texts(table, "papers")
    if not papers:
        raise place.refuse("papers is empty", rule="somebody must be allowed to sign", got="[]", do='write papers = ["licence"]')
    return Signer(papers=papers, places=place.texts(table, "places"), source=_source(place, table, sources))


def _source(place: Place, table: Mapping[str, Any], sources: Mapping[str, Source]) -> Source:
    """The source that an entry names, with a clause of its own where it says one."""
    return _at(sources[place.code(table.get("source"), sources, what="source of this file")], place.text(table, "clause", ""))


def _at(source: Source, clause: str) -> Source:
    return replace(source, clause=clause) if clause else source


def _mark(place: Place, table: Mapping[str, Any], form: str, sources: Mapping[str, Source]) -> MarkRule:
    place.keys(table, _MARK_KEYS)
    source = _source(place, table, sources)
    fields = tuple(Ruled(what=name, source=_at(source, clause)) for name, clause in _clauses(place, table, "fields"))
    for each in fields:
        place.code(each.what, FIELDS, what="field")
    punched = place.codes(table, "punched", [each.what for each in fields], what="field of this mark")
    texts = tuple(Ruled(what=words, source=_at(source, clause)) for words, clause in _clauses(place, table, "texts"))
    return MarkRule(
        form=form,
        mark=place.code(table.get("mark"), PRINTED, what="mark"),
        source=source,
        fields=fields,
        texts=texts,
        width_mm=_span(place, table, "width"),
        height_mm=_span(place, table, "height"),
        not_colours=place.codes(table, "not_colours", COLOURS, what="colour"),
        years=_years(place, table),
        grid=place.code(table.get("grid", "month-and-year"), GRIDS, what="grid"),
        punched=punched,
        made_by=place.code(table.get("made_by", "shop"), MADE_BY, what="maker"),
        material=place.text(table, "material", ""),
        not_seen=place.text(table, "not_seen", ""),
        note=place.text(table, "note", ""),
    )


def _clauses(place: Place, table: Mapping[str, Any], key: str) -> list[tuple[str, str]]:
    """A table of what is asked for and the clause that asks for it; an empty clause is that of the mark."""
    said = table.get(key, {})
    if not isinstance(said, dict) or not all(isinstance(clause, str) for clause in said.values()):
        raise place.refuse(
            f"{key} is no table of clauses", rule="each is written with its clause", got=said, do=f'write {key}.serial = "(b)2"'
        )
    return list(said.items())


def _span(place: Place, table: Mapping[str, Any], side: str) -> tuple[Fraction, Fraction | None] | None:
    """A least and a largest size in mm from `width_mm` or `width_in`: one text for an exact size, two for a span, "" for no end."""
    for unit, factor in (("in", _MM_IN), ("mm", Fraction(1))):
        said = table.get(f"{side}_{unit}")
        if said is not None:
            return _sizes(place, said, f"{side}_{unit}", factor)
    return None


def _sizes(place: Place, said: object, key: str, factor: Fraction) -> tuple[Fraction, Fraction | None]:
    wrong = place.refuse(
        f"{key} is no size", rule="a size is two texts, the second empty for no upper end", got=said, do=f'write {key} = ["2 1/2", "3"]'
    )
    if not isinstance(said, list) or len(said) != 2 or not all(isinstance(each, str) for each in said):
        raise wrong
    try:
        low, high = (sum((Fraction(part) for part in each.split()), Fraction(0)) * factor if each else None for each in said)
    except (ValueError, ZeroDivisionError):
        raise wrong from None
    if not low or low < 0 or (high is not None and high < low):
        raise wrong
    return low, high


def _years(place: Place, table: Mapping[str, Any]) -> tuple[int, int] | None:
    said = table.get("years")
    if said is None:
        return None
    ok = isinstance(said, list) and len(said) == 2 and all(isinstance(each, int) and not isinstance(each, bool) for each in said)
    if not ok or not 1 <= said[0] <= said[1] <= 10:
        raise place.refuse(
            "years is no span", rule="years are the least and the largest number, 1 to 10", got=said, do="write years = [1, 5]"
        )
    return said[0], said[1]


@cache
def mark_forms() -> Mapping[str, MarkForm]:
    """Every form that is shipped, each whole: with the marks of the form that it is based on where it has none of its own."""
    folder = files("pinseal.standards").joinpath("mark_forms")
    found = {}
    for file in sorted(folder.iterdir(), key=lambda each: each.name):
        if file.name.endswith(".toml"):
            form = parse_mark_form(read_toml(file), file=file.name)
            found[form.id] = form
    return {form.id: whole_form(form, found) for form in found.values()}


def whole_form(form: MarkForm, held: Mapping[str, MarkForm]) -> MarkForm:
    """A form with the marks of the one that it is based on. Raises `Refusal`."""
    if not form.based_on:
        return form
    if form.based_on not in held or held[form.based_on].based_on:
        raise Place(form.id).refuse(
            "unknown form", rule="a form is based on one that stands alone", got=form.based_on, do="name a form that is there"
        )
    return replace(form, marks={**held[form.based_on].marks, **form.marks})


def form_named(name: str) -> MarkForm:
    """The form of a name. Raises `Refusal`."""
    held = mark_forms()
    if name in held:
        return held[name]
    raise Refusal(
        what="there is no such form of marks",
        rule=f"the forms held are {', '.join(held)}",
        got=name,
        do="use one of them; where your jurisdiction is not among them, `int` prints a plain mark that claims no form",
    )
