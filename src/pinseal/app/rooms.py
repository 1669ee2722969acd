"""The rooms beside the first pages: each helper module gives its routes, and here they are put together for one shop."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from starlette.routing import BaseRoute

    from pinseal.app.office_pages import ShopRooms


def rooms(app: Any, office: ShopRooms) -> list[BaseRoute]:
    """The routes of every room of a shop beside its office. One line for each room; imports are late, so that commands stay quick."""
    from pinseal.app.api import ShopApi
    from pinseal.app.day import ShopDay
    from pinseal.app.door import ShopDoor
    from pinseal.app.owner_rooms import ShopOwnerFiles
    from pinseal.app.people import ShopPeople
    from pinseal.app.print_pages import ShopPrinting
    from pinseal.web.api import api_routes
    from pinseal.web.api_doors import ApiRooms
    from pinseal.web.field import Field
    from pinseal.web.owner_files import OwnerFileDesk
    from pinseal.web.print_desk import PrintDesk
    from pinseal.web.unsent import UnsentDesk

    found: list[BaseRoute] = []
    path, door = office.path, ShopDoor(app, office.path)
    found += api_routes(ApiRooms(api=ShopApi(office), door=door, days=ShopDay(app, path), tokens=ShopPeople(app, path)))
    found += [*Field().routes(), *UnsentDesk(office, door).routes()]
    found += OwnerFileDesk(office, ShopOwnerFiles(app, path)).routes()
    found += PrintDesk(office, ShopPrinting(app, path)).routes()
    return found
