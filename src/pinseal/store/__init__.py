"""The kept record on the disk: append, read, migrate, verify, back up, restore. The only room that speaks SQL.

Names load when they are first used, so that importing this package does not load SQLAlchemy.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pinseal.store.accounts import Accounts, KeptAccount, KeptToken, Session
    from pinseal.store.backup import Backup
    from pinseal.store.registers import Register, RegisterRow, TakenRegister
    from pinseal.store.settings import Settings, read_settings
    from pinseal.store.sheets import KeptEntry, KeptSheet
    from pinseal.store.shop import Shop
    from pinseal.store.taking import Taken
    from pinseal.store.veils import Veils
    from pinseal.store.verify import Verification

_HOMES = {
    "Accounts": "accounts",
    "Backup": "backup",
    "KeptAccount": "accounts",
    "KeptEntry": "sheets",
    "KeptSheet": "sheets",
    "KeptToken": "accounts",
    "Register": "registers",
    "RegisterRow": "registers",
    "Session": "accounts",
    "Settings": "settings",
    "Shop": "shop",
    "Taken": "taking",
    "TakenRegister": "registers",
    "Veils": "veils",
    "Verification": "verify",
    "read_settings": "settings",
}

__all__ = [
    "Accounts", "Backup", "KeptAccount", "KeptEntry", "KeptSheet", "KeptToken", "Register", "RegisterRow", "Session", "Settings",
    "Shop", "Taken", "TakenRegister", "Veils", "Verification", "read_settings",
]  # fmt: skip


def __getattr__(name: str) -> object:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
