"""Whose a site is: a line of the shop's address book."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteOwner:
    """Whose a site is, and its address on one line. `name` is empty where only the address is known.

    >>> SiteOwner.read("Pier Company; 1 Long Quay")
    SiteOwner(name='Pier Company', address='1 Long Quay')
    >>> SiteOwner.read("1 Long Quay").line("Pier Café")
    'Pier Café, 1 Long Quay'
    """

    name: str = ""
    address: str = ""

    @classmethod
    def read(cls, text: str) -> SiteOwner:
        """From `OWNER; ADDRESS`, or an address alone."""
        name, semicolon, address = text.partition(";")
        return cls(name=name.strip(), address=address.strip()) if semicolon else cls(address=text.strip())

    def text(self) -> str:
        """The inverse of `read`."""
        return "; ".join(part for part in (self.name.replace(";", ","), self.address) if part)

    def line(self, site: str) -> str:
        """Owner and address on one line; empty where there is no address. The site stands for an owner who is not named."""
        return f"{self.name or site}, {self.address}" if self.address else ""
