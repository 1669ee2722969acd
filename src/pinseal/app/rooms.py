"""The rooms beside the first pages: each helper module gives its routes, and here they are put together for one shop."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from starlette.routing import BaseRoute


def rooms(app: Any, path: Path) -> list[BaseRoute]:
    """The routes of every room of the shop at `path`. One line for each room; imports are late, so that commands stay quick."""
    from pinseal.app.api import ShopApi
    from pinseal.app.day import ShopDay
    from pinseal.app.door import ShopDoor
    from pinseal.app.office_pages import ShopRooms
    from pinseal.app.people import ShopPeople
    from pinseal.web.api import api_routes
    from pinseal.web.api_doors import ApiRooms
    from pinseal.web.field import Field
    from pinseal.web.office_routes import office_routes
    from pinseal.web.unsent import UnsentDesk

    found: list[BaseRoute] = []
    office, door = ShopRooms(app, path), ShopDoor(app, path)
    found += office_routes(office)
    found += api_routes(ApiRooms(api=ShopApi(office), door=door, days=ShopDay(app, path), tokens=ShopPeople(app, path)))
    found += [*Field().routes(), *UnsentDesk(office, door).routes()]
    return found
