"""A unit on the bench at a glance: what is proved, which stage of its sheet stands open, what waits and why, and the parts."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from pinseal.catalogue import gettext as _
from pinseal.catalogue import marked, ngettext
from pinseal.service.books import SheetLine
from pinseal.service.sheet_shapes import OpenedSheet
from pinseal.sheets.decision import decide
from pinseal.sheets.gates import shut_gates
from pinseal.sheets.model import STAGES, Step
from pinseal.sheets.parts import Part, parts_of
from pinseal.sheets.working import Working
from pinseal.web.bench_test_sums import test_steps
from pinseal.web.bench_views import PartRow, StageGlance, TeardownPage
from pinseal.web.office_common import Sight
from pinseal.web.office_views import Link, Stage
from pinseal.web.office_work_parts import decision_words, finding_view, minutes_words, stages, unit_head, works_words
from pinseal.web.pages import frame
from pinseal.web.views import Fact, Trouble

# What the proof says, for people: words, and the shape that stands beside them.
_PROOFS = {
    "proved": (marked("proved empty of pressure"), "ahead"),
    "not-yet": (marked("not proved empty of pressure"), "may be overdue"),
    "blocked": (marked("blocked and under pressure"), "overdue"),
}
_SHAPES = {"done": "ahead", "open": "due", "shut": "overdue", "waits": "unknown"}
_CHARGED = marked("under pressure again, as charged on this sheet")


def no_sheet_page(seen: Sight, uid: str, *, may_begin: bool) -> TeardownPage:
    """A unit without an open sheet: nothing is known of what was done to it today."""
    state = seen.state(uid)
    assert state is not None, "only units that are seen are shown"
    return TeardownPage(
        frame=frame(seen.about, title=_("%(unit)s on the bench", unit=unit_head(state).name), here="/bench"), unit=unit_head(state),
        here=f"/bench/unit/{uid}", sheet_href="", begin_href=f"/units/{uid}/sheet" if may_begin else "", test_href="", charge_href="",
        marks_href="", works="", progress="", done_share=0, proof="", proof_shape="", proof_because=(), shell=(), decision="",
        stages=(), findings=(), parts=(), expect=0, may_tick=False, cautions=(),
    )  # fmt: skip


def teardown_page(
    seen: Sight, line: SheetLine, sheet: OpenedSheet, others: Sequence[SheetLine], *, may_work: bool, troubles: tuple[Trouble, ...] = ()
) -> TeardownPage:
    """The sheet as it stands now. `others` are the other open sheets of the unit."""
    work, uid = sheet.work, line.unit
    work_href = f"/sheets/{line.uid}/work"
    left, wanted = work.next_steps(), [step for step in work.job.steps if work.is_wanted(step)]
    proof, shape, because = proof_words(work)
    head = unit_head(work.job.unit)
    return TeardownPage(
        frame=frame(seen.about, title=_("%(unit)s on the bench", unit=head.name), here="/bench"),
        unit=head,
        here=f"/bench/unit/{uid}",
        sheet_href=work_href if may_work else f"/sheets/{line.uid}",
        begin_href="",
        test_href=f"/bench/test/{uid}" if test_steps(work) else "",
        charge_href=f"/bench/charge/{uid}",
        marks_href=f"/sheets/{line.uid}/marks",
        works=works_words(work.job.works),
        progress=progress_words(work),
        done_share=round(100 * (len(wanted) - len(left)) / len(wanted)) if wanted else 100,
        proof=proof,
        proof_shape=shape,
        proof_because=because,
        shell=tuple(Fact(name=name, value=value) for name, value in shell_words(work)),
        decision=decision_words(work, decide(work)),
        stages=tuple(glances(work, work_href if may_work else "")),
        findings=tuple(finding_view(work, found) for found in work.open_stops()),
        parts=tuple(part_row(each) for each in parts_of(work)),
        expect=sheet.next_number,
        may_tick=may_work and work.abandoned is None and not work.job.gone,
        cautions=tuple(map(_, work.job.type.cautions)),
        others=tuple(
            Link(text=_("%(works)s, by %(name)s", works=works_words(each.works), name=each.person), href=f"/sheets/{each.uid}")
            for each in others
        ),
        troubles=troubles,
    )


def _by(line: SheetLine) -> str:
    return _("%(works)s, by %(name)s", works=works_words(line.works), name=line.person)


def progress_words(work: Working) -> str:
    left, wanted = work.next_steps(), [step for step in work.job.steps if work.is_wanted(step)]
    done = len(wanted) - len(left)
    if not left:
        return ngettext("%(done)s of %(n)s step answered", "%(done)s of %(n)s steps answered", len(wanted), done=done)
    time = minutes_words(minutes_left(work))
    return ngettext(
        "%(done)s of %(n)s step answered, %(time)s left",
        "%(done)s of %(n)s steps answered, %(time)s left",
        len(wanted),
        done=done,
        time=time,
    )


def minutes_left(work: Working) -> float:
    return sum(each.minutes for each in work.next_steps())


def proof_words(work: Working) -> tuple[str, str, tuple[str, ...]]:
    """Whether the unit is proved empty: words, shape, and why or what is missing. A charge since then is told first."""
    proof = work.picture.proof
    if work.picture.cycle and work.picture.has("charged") and not work.picture.is_open and work.picture.charged_up()[0]:
        return _(_CHARGED), "overdue", (_("nothing that holds pressure is touched before it is proved empty again"),)
    words, shape = _PROOFS.get(proof.state, (proof.state, "unknown"))
    return _(words), shape, proof.because if proof.state == "proved" else (*proof.because, *proof.missing)


def shell_words(work: Working) -> Sequence[tuple[str, str]]:
    picture = work.picture
    said = [
        (_("boundary"), _("open") if picture.is_open else _("closed")),
        (_("agent"), _("out") if picture.agent_is_out else _("in, as far as is told")),
    ]
    if work.job.unit.nameplate.expelled_by in ("cartridge", "cylinder"):
        said.append((_("pressure source"), _("away") if picture.source_is_away else _("not away yet")))
    if picture.must_dry:
        said.append((_("shell"), _("wet: dry it before agent goes in")))
    return said


# -- stages


def glances(work: Working, work_href: str) -> Sequence[StageGlance]:
    """Each stage with steps that are wanted; what only a unit takes that does not go back is left out."""
    shown = {stage.title: stage for stage in stages(work, work_href, leaving=False)}
    found: list[StageGlance] = []
    for code, some in groupby((step for step in work.job.steps if step.when != "leaving"), key=lambda step: step.stage):
        steps = [step for step in some if work.is_wanted(step)]
        if steps:
            found.append(_glance(work, shown[_(STAGES[code])], steps, work_href, found))
    return found


def _glance(work: Working, shown: Stage, steps: Sequence[Step], work_href: str, before: Sequence[StageGlance]) -> StageGlance:
    left = [step for step in steps if not work.is_answered(step)]
    ready = next((step for step in left if not shut_gates(work, step)), None)
    state, why = _standing(work, left, ready, [each for each in before if each.state != "done"])
    step = ready or (left[0] if left else None)
    return StageGlance(
        title=shown.title,
        state=state,
        shape=_SHAPES[state],
        count=_("%(done)s of %(all)s", done=len(steps) - len(left), all=len(steps)),
        minutes=minutes_words(sum(each.minutes for each in left)) if left else "",
        why=why,
        next_title=_(step.title) if step else "",
        next_href=f"{work_href}?step={ready.id}" if ready and work_href else "",
        steps=shown.steps,
    )


def _standing(work: Working, left: Sequence[Step], ready: Step | None, before: Sequence[StageGlance]) -> tuple[str, str]:
    """The state of a stage and what it waits for. A gate that an earlier stage told already is not told again."""
    if not left:
        return "done", ""
    if ready is not None:
        return ("waits", _("comes after %(stage)s; open already is", stage=before[0].title)) if before else ("open", "")
    # A gate of its own tells more than the order of the work, which every later stage waits for.
    gate = min(shut_gates(work, left[0]), key=lambda each: each.code.startswith("earlier"))
    if gate.code.startswith("earlier"):
        return "waits", _("comes after %(stage)s", stage=before[0].title) if before else gate.because
    same = next((each.title for each in before if each.why == gate.because), "")
    return "shut", _("the same as at %(stage)s", stage=same) if same else gate.because


# -- parts


def part_row(part: Part) -> PartRow:
    state = "missing" if part.is_missing else "ready" if part.wanted_by else "done"
    return PartRow(
        name=part.name,
        wanted_for=", ".join(map(_, part.wanted_by or part.done_by)),
        fitted=", ".join(part.fitted),
        state=state,
        is_laid_out=part.is_laid_out,
    )
