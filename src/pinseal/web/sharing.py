"""Links for an authority: a supervisor makes them at a unit, and each shows one record or one day with its proof."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from pinseal.catalogue import gettext as _
from pinseal.catalogue import marked, ngettext, number
from pinseal.reasons import Refusal
from pinseal.records.proof import Proof
from pinseal.records.record import FIRST, Record, instant_text
from pinseal.service.prices import without_prices
from pinseal.web.date_words import date_words, day_date
from pinseal.web.doors import Office
from pinseal.web.pages import frame
from pinseal.web.people_views import Handed
from pinseal.web.render import render
from pinseal.web.share_doors import Share, Shared, Shares
from pinseal.web.share_views import ProofView, SharedPage, SharePage, ShareRow
from pinseal.web.sign_in import spent
from pinseal.web.unit_page import history_of, latest_first
from pinseal.web.views import Choice, Deed, Fact, Trouble
from pinseal.web.words import kind_words, unit_name

DAYS_MAX = 366
_NAME_MAX = 200
_CHOICES_MAX = 400
_TOLD = marked("Whoever has it sees this and nothing else, without signing in. You can end it here at any time. It is not shown again.")


class Sharing:
    """The links of one shop, as pages."""

    def __init__(self, office: Office, shares: Shares) -> None:
        self.office, self.shares = office, shares

    def routes(self) -> list[Route]:
        return [
            Route("/shared/{key}", self.shared, name="shared"),
            Route("/units/{uid}/share", lambda request: self._page(request.path_params["uid"]), name="unit-share"),
            Route("/units/{uid}/share", self.make, methods=["POST"], name="unit-share-make"),
            Route("/units/{uid}/share/end", self.end, methods=["POST"], name="unit-share-end"),
        ]

    def shared(self, request: Request) -> Response:
        """What a link shows. It is kept out of search engines and of caches."""
        found = self.shares.shared(request.path_params["key"])
        if found is None:
            raise spent()
        return HTMLResponse(render(_shared_page(self.office, found)), headers={"x-robots-tag": "noindex, nofollow"})

    def _page(self, uid: str, *troubles: Trouble, to: str = "", days: str = "30", handed: Handed | None = None) -> Response:
        unit, records = self.office.unit(uid), latest_first(without_prices(self.office.history(uid)))
        if unit is None:
            raise HTTPException(404)
        deeds = list(history_of(unit, records))
        labels = {record.uid: f"{deed.what}, {deed.done}" for record, deed in zip(records, deeds, strict=True)}
        page = SharePage(
            frame=frame(self.office.about(), title=_("Share with an authority")),
            unit=unit_name(unit.state),
            unit_href=f"/units/{uid}",
            here=f"/units/{uid}/share",
            choices=tuple(_choices(records, labels)),
            rows=tuple(_row(share, labels) for share in self.shares.shares(uid)),
            to=to,
            days=days,
            troubles=troubles,
            handed=handed,
        )
        return HTMLResponse(render(page), 400 if troubles else 200)

    async def make(self, request: Request) -> Response:
        """Make a link; it is shown once."""
        async with request.form(max_files=0, max_fields=10) as form:
            return await run_in_threadpool(self._make, request, request.path_params["uid"], form)

    def _make(self, request: Request, uid: str, form: FormData) -> Response:
        to, days, what = (str(form.get(name, "")).strip() for name in ("to", "days", "what"))
        if not 0 < len(to) <= _NAME_MAX:
            return self._page(uid, Trouble(text=_("Say who gets the link."), at="to"), to=to[:_NAME_MAX], days=days)
        if not (days.isascii() and days.isdigit() and len(days) <= 3 and 1 <= int(days) <= DAYS_MAX):
            return self._page(uid, Trouble(text=_("A link holds from 1 to %(n)s days.", n=DAYS_MAX), at="days"), to=to, days=days)
        kind, _colon, value = what.partition(":")
        try:
            record, day = (value, None) if kind == "record" else (None, date.fromisoformat(value))
            key = self.shares.share(uid, name=to, record=record, day=day, days=int(days), by=request.state.account)
        except (Refusal, ValueError):
            return self._page(uid, Trouble(text=_("Choose a record or a day of the list."), at="what"), to=to, days=days)
        address = str(request.base_url.replace(path=f"/shared/{key}", query=""))
        return self._page(uid, handed=Handed(title=_("The link for %(name)s", name=to), text=address, told=_(_TOLD)))

    async def end(self, request: Request) -> Response:
        """End a link."""
        uid = request.path_params["uid"]
        async with request.form(max_files=0, max_fields=10) as form:
            await run_in_threadpool(self.shares.end_share, uid, str(form.get("share", "")))
        return RedirectResponse(f"/units/{uid}/share", 303)


def _choices(records: Sequence[Record], labels: dict[str, str]) -> list[Choice]:
    """Every day with more than one record, then every record, the latest first."""
    days: dict[str, list[Record]] = {}
    for record in records:
        if record.done.day is not None:
            days.setdefault(str(record.done), []).append(record)
    many = [Choice(value=f"day:{day}", label=_day_words(some)) for day, some in days.items() if len(some) > 1]
    return (many + [Choice(value=f"record:{record.uid}", label=labels[record.uid]) for record in records])[:_CHOICES_MAX]


def _day_words(some: Sequence[Record]) -> str:
    return ngettext(
        "everything of %(date)s: %(n)s record", "everything of %(date)s: %(n)s records", len(some), date=date_words(some[0].done)
    )


def _row(share: Share, labels: dict[str, str]) -> ShareRow:
    if share.day:
        what = _("everything of %(date)s", date=day_date(share.day))
    else:
        what = labels.get(share.record or "", _("a record"))
    until = day_date(share.until.date())
    return ShareRow(uid=share.uid, name=share.name or _("somebody"), what=what, until=until, holds=share.holds)


def _shared_page(office: Office, found: Shared) -> SharedPage:
    state = found.unit.state
    records = latest_first(found.history)
    deeds = {record.uid: deed for record, deed in zip(records, history_of(found.unit, records), strict=True)}
    said = ((_("number"), state.id), (_("serial number"), state.serial), (_("model"), state.nameplate.model))
    return SharedPage(
        frame=frame(office.about(), title=_("A record, shared")),
        name=unit_name(state),
        kind=kind_words(state.nameplate),
        facts=tuple(Fact(name=name, value=value) for name, value in said if value),
        until=day_date(found.until.date()),
        proofs=tuple(_proof_view(proof, deeds[proof.record.uid], veiled=found.veiled) for proof in found.proofs),
        veiled=found.veiled,
    )


def _proof_view(proof: Proof, deed: Deed, *, veiled: bool) -> ProofView:
    record, receipt = proof.record, proof.receipt
    behind = [
        Fact(name=_("digest of the record (SHA-256)"), value=record.digest),
        Fact(
            name=_("place in its chain"),
            value=_(
                "%(place)s of %(length)s, written by “%(writer)s”",
                place=number(proof.position),
                length=number(proof.length),
                writer=record.writer,
            ),
        ),
        Fact(name=_("follows"), value=_("nothing: it is the first") if record.previous == FIRST else record.previous),
    ]
    if receipt:
        received = instant_text(receipt.received).replace("T", " ")[:19]
        value = _("number %(n)s, %(moment)s UTC", n=number(receipt.number), moment=received)
        behind.append(Fact(name=_("receipt of the shop"), value=value, note=receipt.digest))
    return ProofView(deed=deed, problems=proof.problems, behind=tuple(behind), text="" if veiled else proof.text)
