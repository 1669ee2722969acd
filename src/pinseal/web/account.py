"""Who is signed in, as the pages know it."""

from __future__ import annotations

from contextvars import ContextVar
from dataclasses import dataclass

from pinseal.catalogue import marked

TECHNICIAN, BENCH, SUPERVISOR = marked("technician"), marked("bench"), marked("supervisor")
OWNER, AUTHORITY = marked("owner"), marked("authority")
ROLES: dict[str, str] = {
    TECHNICIAN: marked("technician: works in the field"),
    BENCH: marked("bench: works in the shop"),
    SUPERVISOR: marked("supervisor: everything, people and settings too"),
    OWNER: marked("owner: sees their own sites, and may do their inspections"),
    AUTHORITY: marked("authority: reads everything, changes nothing"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Account:
    """A person who may come in. `sites` are the names of an owner's sites; the other roles see every site."""

    uid: str
    name: str
    role: str
    sites: tuple[str, ...] = ()

    @property
    def reach(self) -> frozenset[str] | None:
        """The sites that this person may see; None means every site."""
        return frozenset(self.sites) if self.role == OWNER else None

    @property
    def sees_prices(self) -> bool:
        """Whether this person may see what the owner was quoted: an authority reads everything else."""
        return self.role != AUTHORITY

    def may_see(self, site: str | None) -> bool:
        """Whether what belongs to a site may be shown to this person. What has no site belongs to the shop alone."""
        return self.reach is None or site in self.reach


# Set by the door for the time of one request, so that the frame around every page can say who is signed in.
# What a page shows or takes is decided by `request.state.account`, never by this.
SIGNED_IN: ContextVar[Account | None] = ContextVar("signed_in", default=None)
