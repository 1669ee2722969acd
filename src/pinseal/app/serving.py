"""Pages on this machine, and the invented shop."""

from __future__ import annotations

import tempfile
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from pinseal.app.ground import Asked
from pinseal.app.importing import Importing
from pinseal.app.sheets import Sheets
from pinseal.app.shops import Shops

if TYPE_CHECKING:
    from collections.abc import Callable
    from threading import Event

    from starlette.applications import Starlette

    from pinseal.app.certificates import Certificates
    from pinseal.app.office_pages import ShopRooms
    from pinseal.app.people import ShopPeople
    from pinseal.demo import Demo
    from pinseal.service.duelist import DueList
    from pinseal.store import Shop
    from pinseal.web.traffic import Traffic
    from pinseal.web.trust import Trusted

DEMO_MAKER = "the demo"


class Serving(Importing):
    """The doors that people come in by."""

    def serve(self, path: Path, *, host: str, port: int, tls: bool = False) -> None:
        """Serve a shop's pages until stopped. Raises `Refusal` for a taken port, `ShopUnusable` for a bad shop.

        The invented shop signs in by itself at this machine; a real one without a passphrase prints a one-time link. With
        `tls` the next port up says in plain HTTP how a phone comes to trust the shop.
        """
        from pinseal.app.office_pages import ShopRooms
        from pinseal.app.people import ALONE, ShopPeople
        from pinseal.web.serve import is_loopback, serve

        with self._open(path) as shop:
            invented = shop.made_by() == DEMO_MAKER
        people = ShopPeople(self, path, alone=ALONE if invented and is_loopback(host) else None)

        def first() -> tuple[str, str] | None:
            """The first account is made once the port is ours, so that a refused host changes nothing."""
            return None if people.alone else people.first_key()

        if tls:
            return self._serve_tls(path, people, host, port, first)
        office = ShopRooms(self, path)
        site = self._site(path, people, host=host, trusted=None, office=office)
        return serve(
            site,
            host,
            port,
            ready=lambda address: say_ready(address, host=host, first=first()),
            beside=lambda *at: self._ahead(office, *at),
        )

    def _ahead(self, office: ShopRooms, traffic: Traffic, stopped: Event) -> None:
        """Read ahead what the first pages need, over pages that no port leads to."""
        from pinseal.app.day import ShopDay
        from pinseal.app.people import ALONE, ShopPeople
        from pinseal.app.reading_ahead import read_ahead, steps_of
        from pinseal.web.site import build_site

        inner = build_site(office, people=ShopPeople(self, office.path, alone=ALONE))
        read_ahead(steps_of(office, inner, ShopDay(self, office.path)), traffic, stopped)

    def _site(self, path: Path, people: ShopPeople, *, host: str, trusted: Trusted | None, office: ShopRooms | None = None) -> Starlette:
        from pinseal.app.office_pages import ShopRooms
        from pinseal.app.rooms import rooms
        from pinseal.app.shares import ShopShares
        from pinseal.web.site import build_site
        from pinseal.web.trust import TrustPages

        office = office or ShopRooms(self, path)
        more = [*rooms(self, office), *TrustPages(office, trusted).routes()]
        return build_site(office, more=more, people=people, shares=ShopShares(self, path), hosts=[host])

    def _serve_tls(self, path: Path, people: ShopPeople, host: str, port: int, first: Callable[[], tuple[str, str] | None]) -> None:
        from pinseal.app.certificates import certificates, renew_leaf
        from pinseal.app.office_pages import ShopRooms
        from pinseal.web.serve import serve_tls, tls_names
        from pinseal.web.site import static_files
        from pinseal.web.trust import Trusted, build_trust_site

        names, office = tls_names(host), ShopRooms(self, path)
        made = certificates(path, names, self.now())

        def trusted(address: str) -> Trusted:
            shown = shown_address(address, host)
            return Trusted(root_der=made.root_der, fingerprint=made.fingerprint, until=made.until, names=made.names, address=shown)

        serve_tls(
            lambda address: self._site(path, people, host=host, trusted=trusted(address), office=office),
            lambda address: build_trust_site(office, trusted(address), hosts=[host], static=static_files()),
            host,
            (port, port + 1),
            files=(made.leaf, made.leaf_key),
            renew=lambda: renew_leaf(path, names, self.now()),
            ready=lambda address, plainly: say_ready_tls(address, plainly, host=host, made=made, first=first()),
            beside=lambda *at: self._ahead(office, *at),
        )

    def new_link(self, path: Path, login: str) -> str:
        """The path of a new one-time link for the account of a sign-in name. Raises `Refusal` where there is none."""
        from pinseal.app.people import ShopPeople
        from pinseal.reasons import Refusal

        people = ShopPeople(self, path)
        with self._open(path) as shop:
            account = shop.accounts().by_login(login)
        if account is None:
            rule = "a link is for somebody who may come in, by the name to sign in with"
            raise Refusal(what="nobody signs in by this name", rule=rule, got=login, do="look at the page People of `pinseal serve`")
        return f"/welcome/{people.link(account.uid)}"

    def erase_person(self, path: Path, name: str) -> tuple[int, str]:
        """Erase a person: how many accounts of this name were emptied, and what is shown in its place from now on.

        A name without an account is veiled too: it may stand in records. Raises `Refusal` for the last supervisor.
        """
        with self._open(path) as shop:
            wanted = name.strip().casefold()
            found = [one for one in shop.accounts().all() if wanted and wanted in (one.login.casefold(), one.name.casefold())]
            for account in found:
                shop.accounts().erase(account.uid, received=self.now())
            names = [account.name for account in found] or [name]
            shown = [shop.veil(each, received=self.now()) for each in names]
        return len(found), shown[0]

    def demo(self, path: Path, *, on: date | None) -> DueList:
        """Make the invented shop where it is not there yet, and give its dues. Raises `Refusal`."""
        from pinseal.demo import build

        demo = build()
        if not path.exists():
            path.parent.mkdir(parents=True, exist_ok=True)
            part = path.with_name(f"{path.name}.making")
            self._clear(part)
            self._make_demo(part, demo)
            part.rename(path)
            part.with_name(f"{part.name}.files").rename(path.with_name(f"{path.name}.files"))
        with self._open(path, readonly=True) as shop:
            return self._shop_dues(shop, Asked(on=on or demo.day))

    def _clear(self, path: Path) -> None:
        """Take away what an attempt that was cut short has left."""
        import shutil

        for left in path.parent.glob(f"{path.name}*"):
            shutil.rmtree(left) if left.is_dir() else left.unlink()

    def _make_demo(self, path: Path, demo: Demo) -> None:
        """The list as it was handed over, then twelve years of deeds, as if they had been typed in on the demo's day."""
        from pinseal.dates import PartialDate
        from pinseal.service.office import Writer
        from pinseal.service.price_keeping import keep_prices
        from pinseal.store import Shop, read_settings

        then = _Then(demo.received)
        with (
            Shop.create(path, read_settings(demo.settings), person=DEMO_MAKER, now=demo.received) as shop,
            tempfile.TemporaryDirectory() as folder,
        ):
            file = Path(folder) / demo.register_name
            file.write_bytes(demo.register_bytes)
            plan = then.plan_list(path, file, name=demo.register_name, answers=demo.answers)
            then.take_in(path, plan, person=DEMO_MAKER, done=PartialDate.of(demo.taken_over))
            self._write_deeds(shop, demo)
            for name, text in demo.withdrawals:
                shop.add_withdrawals(text, name=name, person=DEMO_MAKER, received=demo.received)
            writer = Writer(device="demo", person=DEMO_MAKER, now=demo.received, new_uid=self._new_uid)
            keep_prices(shop, writer, demo.prices, name="the demo's prices", day=PartialDate.of(demo.day))
        then.work_day(path, demo)

    def _write_deeds(self, shop: Shop, demo: Demo) -> None:
        from pinseal.records.record import Draft

        uids, fresh, drafts = _first_numbers(shop), self._new_uids(), []
        for deed in demo.deeds:
            unit = uids.setdefault(deed.unit, "") or next(fresh)
            uids[deed.unit] = unit
            drafts.append(Draft(kind=deed.kind, unit=unit, person=deed.person, done=deed.done, fields=deed.said(uids), uid=deed.uid))
        shop.write(drafts, writer="demo", received=demo.received)


class _Then(Importing, Shops, Sheets):
    """The app with its clock at the demo's day."""

    def __init__(self, moment: datetime) -> None:
        self.moment = moment

    def now(self) -> datetime:
        return self.moment

    def work_day(self, path: Path, demo: Demo) -> None:
        """The job sheets of the demo's day, each through the same door as everybody's."""
        from pinseal.demo.hands import entries_of
        from pinseal.service.sheet_shapes import SheetAsked

        for each in demo.sheets:
            asked = SheetAsked(unit=each.unit, works=each.works, on=demo.day)
            entries = entries_of(self.sheet(path, asked).work.job, each)
            self.finish(path, asked, sheet_uid=each.uid, entries=entries, person=each.person, writer="van")


def _first_numbers(shop: Shop) -> dict[str, str]:
    """The uid of each unit of the list by its first number: its id where no other has that, else its serial."""
    states = shop.units()
    ids = [state.id for state in states if state.id]
    found = {}
    for state in states:
        if state.id and ids.count(state.id) == 1:
            found[state.id] = state.uid or ""
        elif state.serial:
            found[state.serial] = state.uid or ""
    return found


def shown_address(address: str, host: str) -> str:
    """The address that is told to people: one that other devices reach, where the pages listen to them."""
    from pinseal.web.serve import address_for_phones, is_loopback

    return address if is_loopback(host) else address_for_phones(address)


def say_ready(address: str, *, host: str, first: tuple[str, str] | None) -> None:
    """Tell the person at the terminal where the pages are, how a phone gets there, and how the first supervisor comes in."""
    from pinseal.web.serve import is_loopback

    lines, shown = [f"Serving at {address} (stop with Ctrl-C)"], shown_address(address, host)
    if not is_loopback(host):
        lines += [
            qr_of(shown),
            f"A phone on the same network opens {shown}, or reads the square above.",
            "Without --tls whoever listens on this network can read passphrases and records, and a phone cannot work offline.",
        ]
    _say([*lines, *_first_lines(shown, first)])


def say_ready_tls(address: str, plainly: str, *, host: str, made: Certificates, first: tuple[str, str] | None) -> None:
    """The same over TLS: a phone goes to the plain page first, and compares the fingerprint with the one on this screen."""
    shown, trust = shown_address(address, host), f"{shown_address(plainly, host)}/trust"
    lines = [f"Serving at {shown} (stop with Ctrl-C)", qr_of(trust), f"A phone that is new here opens {trust}, or reads the square above."]
    lines += ["The fingerprint (SHA-256) of this shop's certificate authority, to compare on the phone:", f"  {made.fingerprint}"]
    if made.new_root:
        lines.append("It was made just now: phones that trusted an older one of this shop must do so again.")
    _say([*lines, *_first_lines(shown, first)])


def _first_lines(shown: str, first: tuple[str, str] | None) -> list[str]:
    if first is None:
        return []
    login, key = first
    return [
        f"Nobody has set a passphrase yet. Open this once, as {login}, and set one:",
        f"  {shown}/welcome/{key}",
        "Whoever opens it first is the supervisor. The next start gives a new one, as long as no passphrase is set.",
    ]


def _say(lines: list[str]) -> None:
    print("\n".join(lines), flush=True)  # noqa: T201 - for the person at the terminal


def qr_of(text: str) -> str:
    """A text as a square that a phone's camera reads, in characters for a terminal."""
    import io

    import segno

    drawn = io.StringIO()
    segno.make(text, error="m", micro=False).terminal(out=drawn, compact=True, border=2)
    return drawn.getvalue().rstrip("\n")
