"""The kept record on the disk: append, read, migrate, verify, back up, restore. The only room that speaks SQL.

Names load when they are first used, so that importing this package does not load SQLAlchemy.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pinseal.store.backup import Backup
    from pinseal.store.registers import Register, RegisterRow, TakenRegister
    from pinseal.store.settings import Settings, read_settings
    from pinseal.store.sheets import KeptEntry, KeptSheet
    from pinseal.store.shop import Shop
    from pinseal.store.taking import Taken
    from pinseal.store.verify import Verification

_HOMES = {
    "Backup": "backup",
    "KeptEntry": "sheets",
    "KeptSheet": "sheets",
    "Register": "registers",
    "RegisterRow": "registers",
    "Settings": "settings",
    "Shop": "shop",
    "Taken": "taking",
    "TakenRegister": "registers",
    "Verification": "verify",
    "read_settings": "settings",
}

__all__ = [
    "Backup", "KeptEntry", "KeptSheet", "Register", "RegisterRow", "Settings", "Shop", "Taken", "TakenRegister", "Verification",
    "read_settings",
]  # fmt: skip


def __getattr__(name: str) -> object:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
