"""What was found wrong in the demo's last twelve months, and how it was put right; a few things still wait for a part."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from pinseal.demo import town
from pinseal.demo.book import Book, Deed, later


@dataclass(frozen=True, slots=True, kw_only=True)
class Cure:
    """A finding by its code, what it asks for, and what was done about it after some days; `how` is empty where nothing was yet."""

    finding: str
    action: str
    how: str = ""
    days: int = 0


_SINCE = town.DAY - timedelta(days=365)
_CURES: dict[str, Cure] = {
    "seal broken, new seal": Cure(finding="seal-broken", action="maintenance", how="weighed full, a new seal"),
    "bracket loose, tightened": Cure(finding="bracket-loose", action="repair", how="bracket fastened"),
    "blocked by stores, cleared": Cure(finding="blocked", action="correct", how="the stores were moved away"),
    "paint on the plate, cleaned": Cure(finding="plate-illegible", action="replace-part", how="paint taken off, it can be read again"),
    "pin bent, new pin": Cure(finding="pin-damaged", action="replace-part", how="a new pin of the maker's"),
    "hose does not conduct": Cure(finding="hose-does-not-conduct", action="replace-part", how="a new hose", days=3),
    "bulge at the lower weld": Cure(finding="test-failed", action="condemn"),
    "seal missing": Cure(finding="seal-broken", action="maintenance", how="weighed full, a new seal", days=9),
    "blocked": Cure(finding="blocked", action="correct", how="the way was cleared", days=1),
    "sign fallen": Cure(finding="hidden", action="correct", how="the sign was put up again", days=2),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """A price that was told some days after the finding, in cents; and what the owner answered some days later, where they did."""

    cents: int
    work: str
    paper: str
    answer: str = ""
    by: str = ""
    reason: str = ""
    days: int = 4


# What the rounds left open: site letters, model, the finding, its words, and how far it is on its way.
_OPEN: tuple[tuple[str, str, Cure, str, Offer], ...] = (
    ("FD", "pk-350w", Cure(finding="carriage-damaged", action="repair"), "tire of the left wheel split; a wheel is on order",
     Offer(cents=312_40, work="a wheel, fitted", paper="26-0117", answer="agreed", by="Halloran Petch")),
    ("BR", "abc-10", Cure(finding="plate-loose", action="repair"), "two rivets of the plate are gone",
     Offer(cents=38_50, work="the plate riveted on again", paper="26-0121")),
    ("LS", "abc-10", Cure(finding="hidden", action="correct"), "stands behind a new door; the school has no sign yet",
     Offer(cents=24_00, work="a sign, put up", paper="26-0122", answer="declined", by="Merrin Oakshaw",
           reason="the school puts up its own")),
)  # fmt: skip


def tell_deficiencies(book: Book) -> None:
    """Each thing found in the last year as a finding of its own; what has been put right says so."""
    for deed in tuple(book.deeds):
        cure = _CURES.get(deed.fields.get("found", ""))
        if cure and deed.done.earliest > _SINCE:
            _tell(book, deed, cure, deed.fields["found"].partition(",")[0])
    for site, key, cure, words, offer in _OPEN:
        keys = {bottle.key for bottle in book.still_there(site, key)}
        visit = next(deed for deed in reversed(book.deeds) if deed.kind == "maintained" and deed.key in keys)
        _offer(book, _tell(book, visit, cure, words), offer)


def _tell(book: Book, deed: Deed, cure: Cure, words: str) -> Deed:
    found = book.tell("found-deficient", deed.key, deed.done, deed.person, {"finding": cure.finding, "words": words, "action": cure.action})
    mended = deed.done.latest + timedelta(days=cure.days)
    if cure.how and mended < town.DAY:
        book.tell("remedied", deed.key, later(mended, 0), _mender(deed, cure, mended), {"finding": cure.finding, "how": cure.how})
    return found


def _offer(book: Book, found: Deed, offer: Offer) -> None:
    """The price that the owner was told, and the answer."""
    price = {"price-minor": str(offer.cents), "currency": town.CURRENCY, "work": offer.work, "quote": offer.paper}
    told = later(found.done.latest, offer.days)
    quoted = book.tell("deficiency-quoted", found.key, told, town.OFFICE, price)
    quoted.about["deficiency"] = found
    if offer.answer:
        said = {"answer": offer.answer, "answered-by": offer.by} | ({"reason": offer.reason} if offer.reason else {})
        book.tell("quote-answered", found.key, later(told, offer.days), town.OFFICE, said).about["quoted"] = quoted


def _mender(deed: Deed, cure: Cure, day: date) -> str:
    """Who found it puts it right, but only the shop touches a seal."""
    return town.technician_of(day.year, day.month) if cure.finding == "seal-broken" else deed.person
