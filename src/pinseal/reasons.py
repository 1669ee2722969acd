"""Why an answer is what it is (`Because`, `Citation`), and how bad input is refused (`Refusal`)."""

from __future__ import annotations

from dataclasses import dataclass


class Refusal(Exception):  # noqa: N818 - it is a refusal, not a fault of the program
    """Bad input, said in four parts: what is wrong, which rule, what came, what to do. Exit code 2.

    >>> print(Refusal(what="no such pack", rule="a pack is one of us-osha, gb", got="us-oshaa", do="check the name"))
    no such pack (got us-oshaa); a pack is one of us-osha, gb; check the name
    """

    exit_code = 2

    def __init__(self, *, what: str, rule: str, got: str, do: str) -> None:
        self.what, self.rule, self.got, self.do = what, rule, got, do
        came = f" (got {got})" if got else ""
        super().__init__(f"{what}{came}; {rule}; {do}")

    def as_json(self) -> dict[str, str]:
        return {"what": self.what, "rule": self.rule, "got": self.got, "do": self.do}


class ShopUnusable(Refusal):
    """A shop that is damaged, locked, read-only, full or newer than the program. Exit code 3."""

    exit_code = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Citation:
    """Where a rule comes from: document, edition, clause, and how it was checked (a key of `kinds.CHECKED`)."""

    pack: str
    provision: str
    document: str
    edition: str
    clause: str
    checked: str

    def as_json(self) -> dict[str, str]:
        return {
            "pack": self.pack,
            "provision": self.provision,
            "document": self.document,
            "edition": self.edition,
            "clause": self.clause,
            "checked": self.checked,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Because:
    """One step of the path to an answer, as a sentence, with the provision and the fact it rests on."""

    text: str
    provision: str | None = None
    fact: str | None = None
    record: str | None = None
