"""What must come of a story of a job sheet: verdicts, findings, gates, decision, end and records, as far as the story says."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from tests.situations.sheet_stories import Played, Story, job_of, refusal_of, says

from pinseal.records.record_kinds import check_record
from pinseal.sheets.closing import close
from pinseal.sheets.decision import decide
from pinseal.sheets.gates import shut_gates

# Readings and the sheet itself are on record in every story.
_PLAIN_RECORDS = ("measured", "worked")


def check_no_sheet(story: Story) -> None:
    """No sheet is made for such a unit, or for such works, and the refusal says why."""
    says(refusal_of(lambda: job_of(story)), story["no_sheet"], "a sheet")


def check_played(played: Played) -> None:
    """Compare a story with what came of it, as far as it says."""
    story, work = played.story, played.work
    ids = {step.id for step in work.job.steps}
    assert set(story.get("steps", ())) <= ids, set(story.get("steps", ())) - ids
    assert not set(story.get("not_steps", ())) & ids
    for step, verdict in story.get("verdicts", {}).items():
        judged = work.judgements.get(step)
        assert (judged.verdict if judged else "not judged") == verdict, f"{step}: {judged}"
    for step, words in story.get("because", {}).items():
        assert words in "; ".join(work.judgements[step].because), f"{step}: {work.judgements[step].because}"
    if "findings" in story:
        assert {found.finding: found.action for found in work.findings} == story["findings"]
    if "open" in story:
        assert sorted(found.finding for found in work.open_stops()) == sorted(story["open"])
    for step, codes in story.get("shut", {}).items():
        found_step = work.job.step(step)
        assert found_step is not None, step
        assert [gate.code for gate in shut_gates(work, found_step)] == codes, f"{step}: {shut_gates(work, found_step)}"
    if "pressure" in story:
        assert work.picture.proof.state == story["pressure"], work.picture.proof
    if "flags" in story:
        assert len(work.flags) == len(story["flags"]) and all(w in f for w, f in zip(story["flags"], work.flags, strict=True)), work.flags
    if "confirmations" in story:
        assert {each.group: ("quick" if each.quick else "good") for each in work.confirmations} == story["confirmations"]
    _check_decision(played)
    _check_end(played)


def _check_decision(played: Played) -> None:
    story, decision = played.story, decide(played.work)
    if "decision" in story:
        assert decision.code == story["decision"], decision
    for words in story.get("settle", ()):
        assert any(words in each for each in decision.settle), decision.settle
    if "not_closed" in story:
        says(refusal_of(lambda: close(played.work, sheet="sheet-1")), story["not_closed"], "the end")


def _check_end(played: Played) -> None:
    story, closed = played.story, played.closed
    if closed is None:
        return
    for made in closed.made:
        check_record(made.kind, made.fields)
    if "outcome" in story:
        assert closed.outcome == story["outcome"], closed
    if "state" in story:
        assert closed.state_words == story["state"]
    if "records" in story:
        assert [made.kind for made in closed.made if made.kind not in _PLAIN_RECORDS] == story["records"]
    for said in story.get("fields", ()):
        check_fields(said, [{"kind": made.kind, **made.fields} for made in closed.made])


def check_fields(said: Mapping[str, str], made: Sequence[Mapping[str, str]]) -> None:
    """A record of that kind with those fields is among them; a value that ends with … is the beginning of the text."""
    of_kind = [each for each in made if each["kind"] == said["kind"]]

    def fits(each: Mapping[str, str]) -> bool:
        return all(
            each.get(name, "not said").startswith(value.removesuffix("…")) if value.endswith("…") else each.get(name, "not said") == value
            for name, value in said.items()
        )

    assert any(map(fits, of_kind)), f"no record has {dict(said)}: {of_kind}"
