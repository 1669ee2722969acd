"""What the certificate of recycled agent and the yearly figures say, as plain values for the typesetter and for tables."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any

from pinseal import kinds
from pinseal.measures import SYSTEMS, for_people, in_unit
from pinseal.reasons import Refusal
from pinseal.records.batches import AgentBatch, BatchCertificate, PurityTest
from pinseal.rules.agent_account import book_kg
from pinseal.service.agent_ledger import kg_of
from pinseal.service.agent_return import LINES, AgentYear, YearReturn
from pinseal.service.batches import BatchAccount
from pinseal.standards.halocarbon import halocarbon_rules

_SHAPES = {"fail": "full", "too-close": "half", "pass": "ring", "unknown": "broken"}
VERDICTS = {"fail": "does not close", "too-close": "too close to call", "pass": "closes", "unknown": "cannot be told"}
_DIGITS = 2


def mass_words(kg: Fraction | None, system: str) -> str:
    """A mass in the units of the shop, or that it is unknown."""
    return "unknown" if kg is None else for_people(float(kg), "mass", system=system, digits=_DIGITS)


def lost_words(kg: Fraction | None, system: str) -> str:
    """What the stock lacks; what it has too much is said in words."""
    return f"{mass_words(-kg, system)} too much" if kg is not None and kg < 0 else mass_words(kg, system)


# -- the certificate


def certified(account: BatchAccount) -> tuple[PurityTest, BatchCertificate]:
    """The last test and the last paper of a batch that may be certified. Raises `Refusal` that names what is missing."""
    batch = account.batch
    passed = [each for each in batch.tests if each.passed]
    missing = [
        name
        for name, there in (
            ("a purity test that it passed (batch-tested)", passed),
            ("who recycled it, and the number of the paper (batch-certified)", batch.certificates),
            ("its lot", batch.lot),
            ("where it came from (came-from)", batch.came_from),
        )
        if not there
    ]
    rule = halocarbon_rules()["certificate-fields"]
    if missing:
        raise _refused(batch, f"it lacks {'; '.join(missing)}", f"{rule.words} ({kinds.CHECKED['practice']})", "record what is missing")
    if not batch.tests[-1].passed:
        raise _refused(batch, "its last purity test failed", "recycled agent is vouched for by a test that it passed", "recycle it again")
    paper = batch.certificates[-1]
    _check_mass(account, paper)
    return passed[-1], paper


def _check_mass(account: BatchAccount, paper: BatchCertificate) -> None:
    there, said = book_kg(account.entries, paper.done.latest), kg_of(paper.mass)
    doubt = account.stretches[-1].balance.uncertainty_kg if account.stretches and account.stretches[-1].balance else Fraction(0)
    if there is not None and said is not None and said > there + doubt:
        got = f"{float(said):.3f} kg certified, {float(there):.3f} kg on record on {paper.done}"
        rule = "a paper speaks of no more agent than there is"
        raise _refused(account.batch, got, rule, "weigh the batch and record it, or correct the mass of the record batch-certified")


def _refused(batch: AgentBatch, got: str, rule: str, do: str) -> Refusal:
    return Refusal(what=f"batch {batch.id} gets no certificate of recycled agent", rule=rule, got=got, do=do)


def certificate_data(account: BatchAccount) -> dict[str, Any]:
    """The data of `agent_certificate.typ`, with `title` and `right` for the head. Raises `Refusal` as `certified` does."""
    test, paper = certified(account)
    batch, rules = account.batch, halocarbon_rules()
    fields = rules["certificate-fields"]
    mass = kg_of(paper.mass)
    return {
        "title": f"Recycled {kinds.AGENTS[batch.agent or ''].label}, lot {batch.lot}",
        "right": [f"certificate {paper.number}", paper.done.for_people()],
        "facts": [
            ["agent", kinds.AGENTS[batch.agent or ""].label],
            ["lot", batch.lot],
            ["mass", f"{paper.mass} ({float(mass):.2f} kg)" if mass is not None and "kg" not in paper.mass else paper.mass],
            ["where it came from", batch.came_from],
            ["container", batch.container or batch.id],
            ["date", paper.done.for_people()],
            ["recycler", paper.recycler],
        ],
        "test_title": "The purity test",
        "test": [
            ["purity", f"{test.purity} %"],
            ["method", test.method],
            ["tested on", test.done.for_people()],
            ["laboratory", test.laboratory or "not on record"],
            ["paper of the laboratory", test.certificate or "not on record"],
        ],
        "says": [
            f"{fields.words[0].upper()}{fields.words[1:]} ({kinds.CHECKED['practice']}).",
            *(
                f"{rule.words[0].upper()}{rule.words[1:]} ({rule.source.for_people()})."
                for name, rule in rules.items()
                if name in ("recycled-for-service", "recycled-for-first-fill") and (batch.agent or "") in rule.agents
            ),
            "What stands here is what the records of the shop say. The paper of the laboratory goes with it.",
        ],
        "signatures": ["For the recycler: name, date, signature", "Received: name, date, signature"],
    }


# -- the year


def return_data(found: YearReturn, names: Mapping[str, str], system: str) -> dict[str, Any]:
    """The data of `agent_return.typ`, with `title`, `right` and `notes` for the head. `names` are those of units by uid."""
    due = found.due
    right = [f"year {found.year}"]
    if due:
        right.append(f"return due {_day(due)}")
    return {
        "title": f"Halogenated agents in {found.year}",
        "right": right,
        "warning": ["These are figures for the shop's return, not the return itself.", "Make that in the form that the authority gives."],
        "none": "" if found.agents else "No halogenated agent is on record in this year.",
        "unit": SYSTEMS[system]["mass"],
        "heads": ["Line", *(kinds.AGENTS[each.agent].label for each in found.agents)],
        "lines": [
            {"label": label, "sum": code in ("left", "lost"), "masses": [_cell(each, code, system) for each in found.agents]}
            for code, (label, _) in LINES.items()
            if code in ("start", "left", "lost") or any(each.lines[code] != 0 for each in found.agents)
        ],
        "agents": [_agent_data(each, names, system) for each in found.agents],
        "words": {
            "account": "Does it close?", "misfits": "Entries that do not fit", "flags": "What stands against a rule",
            "rules": "What these figures rest on",
        },
        "misfit_heads": ["Day", "Unit or batch", "What", "Record"],
        "scale": _scale_words(found, system),
        "rules": [f"{rule.words} ({rule.source.for_people()})" for rule in found.rules if rule.id != "certificate-fields"],
        "notes": [f"The year is not over: figures up to {_day(found.until)}."] if found.so_far else [],
        "signatures": ["For the shop: name, date, signature"],
    }  # fmt: skip


def _day(day: Any) -> str:
    from pinseal.dates import PartialDate

    return PartialDate.of(day).for_people()


def _scale_words(found: YearReturn, system: str) -> str:
    if found.scale_kg is None:
        return "How far the weighings may be wrong is not known, so no account is judged."
    which = f"scale {found.scale}" if found.scale else "the scale that was said"
    doubt = for_people(float(found.scale_kg), "mass", system=system, digits=3)
    return f"Each weighing is taken to be within {doubt} (k = 2), by {which}. What is lost is judged against that."


def _agent_data(each: AgentYear, names: Mapping[str, str], system: str) -> dict[str, Any]:
    lost = ""
    if each.balance:
        doubt = for_people(float(each.balance.uncertainty_kg), "mass", system=system, digits=_DIGITS)
        lost = f", {lost_words(each.lines['lost'], system)}, known to within {doubt}"
    return {
        "label": kinds.AGENTS[each.agent].label,
        "shape": _SHAPES[each.verdict],
        "state": VERDICTS[each.verdict],
        "lost": lost,
        "because": list(each.balance.because) if each.balance else [f"{text[0].upper()}{text[1:]}." for text in each.why],
        "misfits": [
            [misfit.done.for_people(), " · ".join(part for part in (names.get(misfit.unit, ""), misfit.batch) if part) or "-",
             misfit.words, misfit.record] for misfit in each.misfits
        ],
        "flags": [f"{words}: {rule.words} ({rule.source.for_people()})" for rule, words in each.flags],
    }  # fmt: skip


def _cell(each: AgentYear, code: str, system: str) -> str:
    words = lost_words if code == "lost" else mass_words
    return words(each.lines[code], system)


def return_rows(found: YearReturn, system: str) -> list[list[str | Decimal | None]]:
    """The figures as rows of a table: agent, line, mass in the units of the shop, mass in kg, and whether the account closes."""
    unit = SYSTEMS[system]["mass"]
    rows: list[list[str | Decimal | None]] = []
    for each in found.agents:
        for code, (label, _) in LINES.items():
            kg = each.lines[code]
            mass = None if kg is None else Decimal(f"{in_unit(float(kg), 'mass', unit):.3f}")
            state = VERDICTS[each.verdict] if code == "lost" else "unknown" if kg is None else ""
            why = "; ".join(each.balance.because if each.balance else each.why) if code == "lost" else ""
            rows.append([kinds.AGENTS[each.agent].label, label, mass, None if kg is None else Decimal(f"{float(kg):.4f}"), state, why])
        for misfit in each.misfits:
            rows.append([kinds.AGENTS[each.agent].label, f"does not fit: {misfit.done}", None, None, misfit.batch, misfit.words])
    return rows


RETURN_HEADS = ("Agent", "Line", "Mass, {unit}", "Mass, kg", "State", "Why")
