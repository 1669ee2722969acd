"""The kinds of record about supply bottles: a bottle comes, its gauge is read, it goes back. Their subject is no extinguisher."""

from __future__ import annotations

from dataclasses import replace

from pinseal.records.fields import Field
from pinseal.records.kind import AT_TEMPERATURE, REASON, SERIAL, RecordKind

BOTTLE_KINDS: tuple[RecordKind, ...] = (
    RecordKind(
        code="bottle-received",
        label="supply bottle received",
        help="a bottle of gas that units are charged from; said again, it came back full or is better known",
        about="bottle",
        fields=(
            Field(name="id", required=True, help="what it is called in the shop"),
            Field(name="gas", type="gas", required=True, help="what is in it"),
            Field(name="water-capacity", type="quantity", required=True, help="what it holds of water, stamped on it"),
            replace(SERIAL, help="the number on the bottle"),
            Field(name="dew-point", type="temperature", help="the dew point of the gas, by its certificate"),
            Field(name="purity", type="percent", help="the purity of the gas, by its certificate"),
            Field(name="certificate", help="the number of the certificate"),
        ),
    ),
    RecordKind(
        code="bottle-read",
        label="supply bottle read",
        help="what its gauge shows, and how warm it is",
        about="bottle",
        fields=(
            Field(name="shows", type="pressure-level", required=True, help="what the gauge of the bottle shows"),
            replace(AT_TEMPERATURE, required=True, help="the temperature of the bottle then"),
        ),
    ),
    RecordKind(
        code="bottle-returned",
        label="supply bottle returned",
        help="it went back, empty or not",
        about="bottle",
        fields=(REASON,),
    ),
)
